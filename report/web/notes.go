package web

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/report/document"
	"shortfall/report/typeface"
)

// notes are those of one block, lettered in order of reading and printed right
// below it.
type notes struct {
	block int
	texts []string
	uses  map[string]int
}

func (p *page) openNotes() {
	p.blocks++
	p.notes = &notes{block: p.blocks, uses: map[string]int{}}
}

func (n *notes) index(text string) int {
	for i, t := range n.texts {
		if t == text {
			return i
		}
	}
	n.texts = append(n.texts, text)
	return len(n.texts) - 1
}

// marks of notes, each a link to its note; the first use is where the note
// links back to.
func (p *page) marks(list []document.Note) string {
	var b strings.Builder
	for _, x := range list {
		p.notes.index(x.Text)
	}
	inOrder := func(a, b document.Note) int { return cmp.Compare(p.notes.index(a.Text), p.notes.index(b.Text)) }
	for _, x := range slices.SortedFunc(slices.Values(list), inOrder) {
		l := typeface.Letter(p.notes.index(x.Text))
		p.notes.uses[l]++
		back := ""
		if p.notes.uses[l] == 1 {
			back = fmt.Sprintf(` id="m%d%s"`, p.notes.block, l)
		}
		fmt.Fprintf(&b, `<sup><a%s href="#n%d%s" aria-label="note %s">%s</a></sup>`, back, p.notes.block, l, l, l)
	}
	return b.String()
}

// drawn gives the letters of notes inside a figure, which cannot be links.
func (p *page) drawn(list []document.Note, at []int) string {
	s := ""
	for _, i := range at {
		if i >= 0 && i < len(list) {
			s += typeface.Superior(p.notes.index(list[i].Text))
		}
	}
	return s
}

// closeNotes prints the notes of a block. One that stands inside the drawing of a
// figure alone leads back to the figure.
func (p *page) closeNotes(figure string) {
	n := p.notes
	if len(n.texts) == 0 {
		return
	}
	p.printf("<ul class=\"notes\" aria-label=\"Notes\">\n")
	for i, t := range n.texts {
		l := typeface.Letter(i)
		back := ""
		switch {
		case n.uses[l] > 0:
			back = fmt.Sprintf(` <a href="#m%d%s" aria-label="back to note %s in the text">↩</a>`, n.block, l, l)
		case figure != "":
			back = fmt.Sprintf(` <a href="#%s" aria-label="back to the figure of note %s">↩</a>`, esc(figure), l)
		}
		p.printf("<li id=\"n%d%s\"><span class=\"mark\">%s</span> %s%s</li>\n", n.block, l, l, esc(t), back)
	}
	p.printf("</ul>\n")
	p.notes.texts = nil
}
