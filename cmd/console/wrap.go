package console

import (
	"strings"
	"unicode/utf8"
)

// lineWidth of wrapped text, indent included: the usual width of a terminal, and
// the same in a file, so that the two can be compared.
const lineWidth = 80

// Wrap breaks text at spaces; every line after the first begins with indent.
func Wrap(text, indent string) string {
	var b strings.Builder
	at := len(indent)
	for i, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+n > lineWidth:
			b.WriteString("\n" + indent)
			at = len(indent)
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}
