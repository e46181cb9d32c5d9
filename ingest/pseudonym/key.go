package pseudonym

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strings"

	"shortfall/ingest/scratch"
)

// Key makes pseudonyms. Who has it and a list of case numbers can tell which
// pseudonym belongs to which case; without it nobody can.
type Key []byte

const (
	keyBytes   = 32
	keyComment = "# Key of the pseudonyms of this practice. Keep it here and keep it secret; with another key the same case gets another pseudonym.\n"
)

// LoadKey reads a key file, or lets create make one, which its owner alone can read, where
// there is none. A file that others can read is refused.
func LoadKey(path string, create Create) (key Key, made bool, err error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		key, err = makeKey(path, create)
		return key, err == nil, err
	}
	if err != nil {
		return nil, false, err
	}
	if !info.Mode().IsRegular() {
		return nil, false, fmt.Errorf("%s cannot hold a key: this is no plain file", path)
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, false, fmt.Errorf("%s: others can read the key file; take their permission away (chmod 600) or, if it was seen, use a new key", path)
	}
	content, err := scratch.Read(path, 4096)
	if err != nil {
		return nil, false, err
	}
	key, err = parseKey(string(content))
	if err != nil {
		return nil, false, fmt.Errorf("%s: %w", path, err)
	}
	return key, false, nil
}

func parseKey(content string) (Key, error) {
	for line := range strings.Lines(content) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, err := hex.DecodeString(line)
		if err != nil || len(key) != keyBytes {
			break
		}
		if weak(key) {
			return nil, errors.New("this key was not drawn at random; name a file that does not exist yet, and a new key is made there")
		}
		return key, nil
	}
	return nil, fmt.Errorf("this is no key file: expected %d hexadecimal digits; name another file, or one that does not exist yet", 2*keyBytes)
}

// weak reports a key of fewer different bytes than a drawn one has: of 32 random
// bytes fewer than 16 differ in less than 1 of 10^10 keys.
func weak(key Key) bool {
	seen := map[byte]bool{}
	for _, b := range key {
		seen[b] = true
	}
	return len(seen) < keyBytes/2
}

func makeKey(path string, create Create) (Key, error) {
	key := make(Key, keyBytes)
	rand.Read(key) // never fails (Go 1.24)
	err := create(path, func(w io.Writer) error {
		_, err := io.WriteString(w, keyComment+hex.EncodeToString(key)+"\n")
		return err
	})
	return key, err
}

// letters of a pseudonym: capitals without vowels, so that no name, word or
// number comes about by chance.
const letters = "BCDFGHJKLMNPQRSTVWXZ"

// name makes the pseudonym of a text: HMAC-SHA-256 (RFC 2104) under the key,
// cut to twelve of twenty letters. Among 10,000 cases two would share one in
// about 1 of 80 million practices (20^12 against 5 x 10^7 pairs), and Copy
// refuses to write if it happens.
func (k Key) name(prefix, purpose, text string) string {
	sum := k.sum(purpose, text)
	var b strings.Builder
	b.WriteString(prefix)
	for i := range 12 {
		if i%4 == 0 {
			b.WriteByte('-')
		}
		// A byte modulo 20 would favour 16 letters; two bytes leave a bias below 1 in 3,000.
		b.WriteByte(letters[(int(sum[2*i])<<8|int(sum[2*i+1]))%len(letters)])
	}
	return b.String()
}

// sum is HMAC-SHA-256 (RFC 2104) of a text for one purpose.
func (k Key) sum(purpose, text string) []byte {
	mac := hmac.New(sha256.New, k)
	mac.Write([]byte(purpose))
	mac.Write([]byte{0})
	mac.Write([]byte(text))
	return mac.Sum(nil)
}
