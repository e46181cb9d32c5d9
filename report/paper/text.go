package paper

import (
	"slices"
	"strings"
	"unicode"

	"shortfall/report/chart"
	"shortfall/report/typeface"
)

// baselineIn is where the baseline lies below the top of a line, in mm.
const baselineIn = 3.4

// Run is a piece of a paragraph in one weight and colour. To, where set, makes
// it a link to a target.
type Run struct {
	Text  string
	Bold  bool
	Muted bool
	To    string
	marks []int // notes whose letters stand here; such a run has no text
}

func (r Run) width(size float64) float64 {
	return typeface.Width(r.Text, size, r.Bold) + markWidth*float64(len(r.marks))
}

// T is plain running text.
func T(s string) Run { return Run{Text: s} }

// B is bold running text.
func B(s string) Run { return Run{Text: s, Bold: true} }

// word is a part of a line that is not broken; runs may meet inside it.
type word struct {
	parts []Run
	space bool // white space before it
}

func (w word) width(size float64) float64 {
	sum := 0.0
	for _, p := range w.parts {
		sum += p.width(size)
	}
	return sum
}

// words cuts runs at plain spaces; a no-break space holds.
func words(runs []Run) []word {
	var out []word
	space := false
	open := false // the last word goes on
	for _, r := range runs {
		if len(r.marks) > 0 {
			if len(out) == 0 {
				out = append(out, word{})
			}
			last := &out[len(out)-1]
			last.parts = append(last.parts, r)
			continue
		}
		for i, piece := range strings.Split(typeface.Whole(r.Text), " ") {
			if i > 0 {
				space, open = true, false
			}
			if piece == "" {
				continue
			}
			p := r
			p.Text = piece
			if open && len(out) > 0 {
				out[len(out)-1].parts = append(out[len(out)-1].parts, p)
			} else {
				out = append(out, word{parts: []Run{p}, space: space})
			}
			space, open = false, true
		}
	}
	return out
}

// hyphenated cuts "clinician-designed" after its hyphen, but neither "95-97"
// nor "mesial-in".
func hyphenated(s string) (out []string) {
	if s == "" {
		return nil
	}
	if !strings.Contains(s, "-") {
		return []string{s}
	}
	const least = 4 // letters on either side
	rs, from, letters := []rune(s), 0, 0
	for i, r := range rs {
		if r == '-' && letters >= least && lettersAt(rs[i+1:]) >= least {
			out, from = append(out, string(rs[from:i+1])), i+1
		}
		if unicode.IsLetter(r) {
			letters++
		} else {
			letters = 0
		}
	}
	return append(out, string(rs[from:]))
}

func lettersAt(rs []rune) int {
	for i, r := range rs {
		if !unicode.IsLetter(r) {
			return i
		}
	}
	return len(rs)
}

// wrap breaks runs into lines no wider than w mm. A word wider than a line, and no other,
// is cut after its hyphens, else between characters.
func wrap(runs []Run, w, size float64) [][]Run {
	var lines [][]Run
	var line []Run
	used := 0.0
	blank := typeface.Width(" ", size, false)
	for _, wd := range cutLong(words(runs), w, size) {
		need, gap := wd.width(size), 0.0
		if wd.space && used > 0 {
			gap = blank
		}
		if used > 0 && used+gap+need > w+0.01 {
			lines, line, used, gap = append(lines, line), nil, 0, 0
		}
		if gap > 0 {
			wd.parts[0].Text = " " + wd.parts[0].Text
			need = wd.width(size)
		}
		line = append(line, wd.parts...)
		used += need
	}
	if line != nil {
		lines = append(lines, line)
	}
	return lines
}

// cutLong cuts words wider than a line.
func cutLong(in []word, w, size float64) []word {
	var out []word
	for _, wd := range in {
		if wd.width(size) <= w {
			out = append(out, wd)
			continue
		}
		for _, p := range wd.parts {
			if len(p.marks) > 0 {
				if len(out) > 0 {
					out[len(out)-1].parts = append(out[len(out)-1].parts, p)
				}
				continue
			}
			for _, bit := range hyphenated(p.Text) {
				for p.Text = bit; p.Text != ""; wd.space = false {
					n := fitting(p, w, size)
					head := p
					head.Text, p.Text = p.Text[:n], p.Text[n:]
					out = append(out, word{parts: []Run{head}, space: wd.space})
				}
			}
		}
	}
	return out
}

// fitting counts the bytes of a run that fit into w mm, at least one character.
func fitting(p Run, w, size float64) int {
	n := 0
	for i, r := range p.Text {
		end := i + len(string(r))
		if n > 0 && typeface.Width(p.Text[:end], size, p.Bold) > w {
			break
		}
		n = end
	}
	return n
}

// wrapPlain wraps text of one weight.
func wrapPlain(s string, w, size float64, bold bool) []string {
	var out []string
	for _, line := range wrap([]Run{{Text: s, Bold: bold}}, w, size) {
		var b strings.Builder
		for _, r := range line {
			b.WriteString(r.Text)
		}
		out = append(out, b.String())
	}
	return out
}

// balanced breaks a head into as few lines as the width takes, of like length: none
// is left with a word alone.
func balanced(s string, w, size float64) []string {
	out := wrapPlain(s, w, size, true)
	for len(out) > 1 {
		w -= 2
		narrower := wrapPlain(s, w, size, true)
		if len(narrower) > len(out) {
			break
		}
		out = narrower
	}
	return out
}

func (d *Doc) cleanRuns(runs []Run) []Run {
	out := make([]Run, len(runs))
	for i, r := range runs {
		r.Text = d.clean(r.Text)
		out[i] = r
	}
	return out
}

// drawRuns draws one line of runs, joining neighbours of one look so that the
// text of the PDF reads as words, and gives its end.
func (d *Doc) drawRuns(x, base float64, line []Run, size float64) float64 {
	for i := 0; i < len(line); {
		r := line[i]
		j := i + 1
		if len(r.marks) > 0 {
			d.write(x, base, d.letters(r.marks), size, false, chart.Ink)
			x += r.width(size)
			i = j
			continue
		}
		for j < len(line) && len(line[j].marks) == 0 && line[j].Bold == r.Bold && line[j].Muted == r.Muted && line[j].To == r.To {
			r.Text += line[j].Text
			j++
		}
		c := chart.Ink
		if r.Muted {
			c = chart.Muted
		}
		w := typeface.Width(r.Text, size, r.Bold)
		d.write(x, base, r.Text, size, r.Bold, c)
		if r.To != "" {
			before := typeface.Width(r.Text[:len(r.Text)-len(strings.TrimLeft(r.Text, " "))], size, r.Bold)
			d.link(x+before, base, w-before, r.To)
			d.underline(x+before, base, w-before)
		}
		x += w
		i = j
	}
	return x
}

// Para sets a paragraph over n columns of the grid, so that it may run on to
// the next page; ids are the footnotes it carries.
func (d *Doc) Para(cols int, ids []int, runs ...Run) {
	d.indented("", 0, d.Span(cols), ids, runs)
}

func (d *Doc) indented(mark string, dx, w float64, ids []int, runs []Run) {
	lines := wrap(d.cleanRuns(runs), w, TextPt)
	due := make([][]int, len(lines))
	for i, line := range lines {
		due[i], ids = marked(line, ids, i == len(lines)-1)
	}
	for i := range lines {
		if n := together(i, len(lines)); n > 1 {
			d.keep(due[i : i+n])
		}
		d.place(block{h: d.lead, notes: due[i], draw: func(top float64) {
			if i == 0 && mark != "" {
				d.write(Margin, top+baselineIn, mark, TextPt, true, chart.Ink)
			}
			d.drawRuns(Margin+dx, top+baselineIn, lines[i], TextPt)
		}})
	}
}

// together is how many lines of a paragraph of n must share the page of line
// i, so that no line of it stands alone at the foot or the head of a page.
func together(i, n int) int {
	switch {
	case n <= 3 && i == 0:
		return n
	case i == 0, i == n-2:
		return 2
	}
	return 1
}

// keep starts a new page where lines with these footnotes do not all fit here.
func (d *Doc) keep(due [][]int) {
	var ids []int
	for _, more := range due {
		ids = append(ids, more...)
	}
	if d.page == 0 || d.room(ids) < float64(len(due))*d.lead {
		d.NewPage()
	}
}

// marked picks the footnotes whose marks stand on a line, so that a paragraph
// that runs on to the next page leaves them where they are due; the last line
// takes what is left.
func marked(line []Run, ids []int, last bool) (here, later []int) {
	if last {
		return ids, nil
	}
	for _, id := range ids {
		found := false
		for _, r := range line {
			found = found || slices.Contains(r.marks, id)
		}
		if found {
			here = append(here, id)
		} else {
			later = append(later, id)
		}
	}
	return here, later
}
