package chart

import "strings"

// FlowStep is a box of a flow from left to right, already worded.
type FlowStep struct {
	Count string // "5 731 movements"
	Title string
	Left  []string // what leaves before the next step, one reason a line
}

// Boxes is a flow of a few steps across the page.
type Boxes struct {
	Title, Desc string
	Steps       []FlowStep
}

const boxGap = 7.0

// Draw draws the boxes, arrows between them, and below each what leaves there.
func (b Boxes) Draw(w float64) *Figure {
	f := &Figure{Title: b.Title, Desc: b.Desc, W: w}
	n := max(1, len(b.Steps))
	each := (w - boxGap*float64(n-1)) / float64(n)
	lines, titles := 1, make([][]string, n)
	for i, s := range b.Steps {
		titles[i] = wrapWords(s.Title, each-3, false)
		lines = max(lines, len(titles[i])+len(wrapWords(counted(s.Count), each-3, true)))
	}
	h := float64(lines)*RowHeight + 2
	y := h
	for i, s := range b.Steps {
		x := float64(i) * (each + boxGap)
		f.add(Rect{Box{x, 0, each, h}, 0.8, nil, Pen{Colour: Grey, Width: 0.25}})
		at := 4.4
		for _, l := range wrapWords(counted(s.Count), each-3, true) {
			f.text(x+1.5, at, l, Start, true)
			at += RowHeight
		}
		for _, l := range titles[i] {
			f.ink(x+1.5, at, l, Start, false, Muted)
			at += RowHeight
		}
		if i < n-1 {
			f.arrows(1, Point{x + each + 0.8, h / 2}, Point{x + each + boxGap - 1.3, h / 2}, Pen{Colour: Grey, Width: 0.35})
		}
		at = h + 4.4
		for _, reason := range s.Left {
			for _, l := range wrapWords(reason, each+boxGap-3, false) {
				f.ink(x+1.5, at, l, Start, false, Muted)
				at += RowHeight - 0.4
			}
			at += 0.8
		}
		y = max(y, at-2.6)
	}
	f.H = y
	return f
}

// counted lets the noun of a count go below its number.
func counted(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }
