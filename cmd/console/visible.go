// Package console is the terminal as a person sees it: text without hidden characters,
// the line of progress, the questions about a file and what was understood of it.
//
// Place in the pipeline: beneath cmd/verb; knows no verb and no flag.
package console

import (
	"fmt"
	"io"
	"os"
	"unicode"
	"unicode/utf8"

	"shortfall/cmd/exit"
)

// Visible writes text for people. What a terminal would act on and a person
// would not see (control and C1 characters, delete, marks of direction, zero
// width, bytes of no character) is written as an escape: a code, a header or a
// path can hold any of them. The escapes are those of JSON, which so stays valid.
type Visible struct {
	name  string // "standard output"
	w     io.Writer
	split []byte // the beginning of a character whose end is not there yet
	err   error  // the first error; what is written after it goes nowhere
}

// NewVisible writes to w, which messages call by a name.
func NewVisible(w io.Writer, name string) *Visible { return &Visible{name: name, w: w} }

// Lost is why something of what was written did not arrive, nil where all did.
func (v *Visible) Lost() error { return v.err }

// Write gives the error of the first write that failed, with the name of what was
// written to; it is one of exit.Unreadable.
func (v *Visible) Write(p []byte) (int, error) {
	if v.err != nil {
		return 0, v.err
	}
	text := append(v.split, p...)
	out := make([]byte, 0, len(text))
	for len(text) > 0 {
		if !utf8.FullRune(text) {
			break
		}
		r, n := utf8.DecodeRune(text)
		switch {
		case r == utf8.RuneError && n == 1:
			out = fmt.Appendf(out, `\x%02x`, text[0])
		case hidden(r) && r > 0xffff:
			out = fmt.Appendf(out, `\U%08x`, r)
		case hidden(r):
			out = fmt.Appendf(out, `\u%04x`, r)
		default:
			out = append(out, text[:n]...)
		}
		text = text[n:]
	}
	v.split = append([]byte(nil), text...)
	if _, err := v.w.Write(out); err != nil {
		v.err = exit.Unreadable(fmt.Errorf("%s could not be written (%w)", v.name, err))
		return 0, v.err
	}
	return len(p), nil
}

// hidden reports what a person would not see: Unicode's control (Cc) and format
// (Cf) characters, and its separators of lines and paragraphs, but for the line
// end and the tab.
func hidden(r rune) bool {
	return r != '\n' && r != '\t' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029')
}

// terminal gives the file behind a writer where it is a terminal's.
func terminal(w io.Writer) (*os.File, bool) {
	if v, ok := w.(*Visible); ok {
		w = v.w
	}
	f, ok := w.(*os.File)
	return f, ok
}
