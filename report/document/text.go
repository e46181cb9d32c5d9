package document

import "strings"

// Note is what qualifies a number or a word. Two notes of one text are the same
// note; renderers letter them in order of reading.
type Note struct{ Text string }

// Span is a piece of running text in one style.
type Span struct {
	Text   string
	Strong bool
	Quiet  bool
	// To is the id the span leads to. With no Text of its own it reads as the
	// label of what it leads to: "Table 3", on paper with its page.
	To    string
	Notes []Note // marks stand behind the span
}

// Way is true of a span that only leads somewhere, by a label or by "definition":
// where there is nowhere to go it says nothing.
func (s Span) Way() bool { return s.To != "" && (s.Text == "" || s.Text == Definition) }

// Definition is the text of a link to the definition of a term.
const Definition = "definition"

// Text is running text.
type Text []Span

// Words is plain running text.
func Words(s string) Text { return Text{{Text: s}} }

// Strong is running text with weight.
func Strong(s string) Text { return Text{{Text: s, Strong: true}} }

// Quiet is secondary running text.
func Quiet(s string) Text { return Text{{Text: s, Quiet: true}} }

// Ref is a reference by label.
func Ref(id string) Text { return Text{{To: id}} }

// Link is text that leads to an id.
func Link(s, id string) Text { return Text{{Text: s, To: id}} }

// Noted is plain text with notes behind it.
func Noted(s string, notes ...Note) Text { return Text{{Text: s, Notes: notes}} }

// Join strings texts together as they are.
func Join(parts ...Text) Text {
	var out Text
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// Plain is the text without its styles; references read as their ids.
func (t Text) Plain() string {
	var b strings.Builder
	for _, s := range t {
		if s.Text == "" {
			b.WriteString(s.To)
		}
		b.WriteString(s.Text)
	}
	return b.String()
}
