package typeface

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Replacement stands for a character the family cannot print.
const Replacement = '\uFFFD'

// Clean makes any text fit to print: normalised to NFC, white space to plain
// spaces, control and direction marks removed, and every character without a
// glyph (all of those beyond U+FFFF, which the PDF writer cannot take)
// replaced by U+FFFD. The second result counts the characters removed or
// replaced, so that a page can say so.
func Clean(s string) (string, int) {
	if plain(s) {
		return s, 0
	}
	lost := 0
	out := strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			lost++
			return -1
		case r > 0xFFFF || !Has(r, false) || !Has(r, true):
			lost++
			return Replacement
		}
		return r
	}, norm.NFC.String(s))
	return out, lost
}

// plain is true of printable ASCII, as most texts are: it has a glyph and is normal.
func plain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}
