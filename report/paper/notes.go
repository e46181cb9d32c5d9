package paper

import (
	"cmp"
	"slices"
	"strings"

	"shortfall/report/chart"
)

// notes numbers the footnotes of the document in order of first use and keeps
// those due on the present page. A note used on several pages keeps its number
// and is printed on each.
type notes struct {
	number map[string]int
	lines  [][]string // of each note, broken to the width of the page
	here   []int      // on this page, in order of first use
	over   []int      // did not fit on the page before
	first  int        // place of the first note of this page in the alphabet
}

func newNotes() notes { return notes{number: map[string]int{}} }

// Note registers a footnote and gives its number; the same text has one number.
func (d *Doc) Note(text string) int {
	text = d.clean(text)
	if n, ok := d.notes.number[text]; ok {
		return n
	}
	d.notes.lines = append(d.notes.lines, wrapPlain(text, d.Width()-noteIndent, TextPt, false))
	n := len(d.notes.lines)
	d.notes.number[text] = n
	return n
}

// with gives the notes of the page once those of a block are added.
func (n *notes) with(more []int) []int {
	out := n.here[:len(n.here):len(n.here)]
	for _, m := range more {
		seen := false
		for _, h := range out {
			seen = seen || h == m
		}
		if !seen {
			out = append(out, m)
		}
	}
	return out
}

func (n *notes) add(more []int) { n.here = n.with(more) }

// noteIndent is where the text of a footnote starts, in mm.
const noteIndent = 6.0

// height of the notes with the space and the rule above them.
func (n *notes) height(ids []int) float64 {
	if len(ids) == 0 {
		return 0
	}
	lines := 1
	for _, id := range ids {
		lines += len(n.lines[id-1])
	}
	return float64(lines) * Dense
}

// carry brings the notes that found no room to the new page.
func (n *notes) carry() {
	if n.here, n.over = n.over, nil; len(n.here) == 0 {
		n.first = 0
	}
}

// markWidth is the room kept for the letter of a note, in mm: that of the widest.
const markWidth = 1.27

// alphabet of the marks: the superior letters of the family; there is no q,
// and m and w are wider than the room kept.
var alphabet = []rune("ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡⁿᵒᵖʳˢᵗᵘᵛˣʸᶻ")

// letter of a note: its place in order of reading on the page.
func (n *notes) letter(id int) string {
	at := n.first + slices.Index(n.here, id)
	s := string(alphabet[at%len(alphabet)])
	return strings.Repeat(s, 1+at/len(alphabet))
}

// letters of the marks that stand together, in the order of the notes.
func (d *Doc) letters(ids []int) string {
	d.notes.add(ids)
	s := ""
	at := func(id int) int { return slices.Index(d.notes.here, id) }
	for _, id := range slices.SortedFunc(slices.Values(ids), func(a, b int) int { return cmp.Compare(at(a), at(b)) }) {
		s += d.notes.letter(id)
	}
	return s
}

// draw prints the notes of the page above the running foot. Should a single
// block carry more notes than fit, the rest goes on at the foot of the next page.
func (n *notes) draw(d *Doc) {
	for len(n.here) > 0 && n.height(n.here) > d.bottom()-d.used+0.01 {
		last := len(n.here) - 1
		n.over = append([]int{n.here[last]}, n.over...)
		n.here = n.here[:last]
	}
	next := n.first + len(n.here)
	y := d.bottom() - n.height(n.here)
	if len(n.here) > 0 {
		d.rule(Margin, y+0.5*Dense, Margin+d.Span(3))
		y += Dense
	}
	for _, id := range n.here {
		for i, line := range n.lines[id-1] {
			base := y + baselineIn
			if i == 0 {
				d.write(Margin, base, n.letter(id), TextPt, false, chart.Muted)
			}
			d.write(Margin+noteIndent, base, line, TextPt, false, chart.Muted)
			y += Dense
		}
	}
	n.here, n.first = nil, next
}
