package rules

import (
	"crypto/sha256"
	"fmt"
	"strings"
)

// Seal ends a comment of our own with a mark made from its text, by which it is known
// when the marked copy is read again. Our comments repeat no value of a sheet; one that
// was changed since is looked at as any other.
func Seal(text string) string { return text + "\n" + sealOf(text) }

// Sealed reports a comment that is as we wrote it.
func Sealed(text string) bool {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	at := strings.LastIndexByte(text, '\n')
	return at > 0 && text[at+1:] == sealOf(text[:at])
}

func sealOf(text string) string {
	return fmt.Sprintf("(shortfall %x)", sha256.Sum256([]byte("a comment of shortfall\n"+text)))[:len("(shortfall ")+8] + ")"
}
