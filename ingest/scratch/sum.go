package scratch

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
)

// Sum is the SHA-256 of a file, in hexadecimal digits.
func Sum(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	_, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), err
}
