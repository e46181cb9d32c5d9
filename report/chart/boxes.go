package chart

import "strings"

// FlowStep is a box of a flow from left to right, already worded.
type FlowStep struct {
	ID, LeftID string // of the box, and of what leaves, where they can be pointed at
	Count      string // "5 731 movements"
	Title      string
	Left       []string // what leaves before the next step, one reason a line
}

// Boxes is a flow of a few steps across the page.
type Boxes struct {
	Title, Desc string
	Steps       []FlowStep
}

const boxGap = 7.0

// leastBox is the width of the narrowest box, in mm: that of "movements" in bold.
const leastBox = 22.0

// Draw draws the boxes, arrows between them, and below each what leaves there. Where
// they do not fit beside each other they go on below.
func (b Boxes) Draw(w float64) *Figure {
	f := &Figure{Title: b.Title, Desc: b.Desc, W: w}
	n := max(1, len(b.Steps))
	fit := max(1, int((w+boxGap)/(leastBox+boxGap)))
	rows := (n + fit - 1) / fit
	across := (n + rows - 1) / rows
	each := (w - boxGap*float64(across-1)) / float64(across)
	for from := 0; from < len(b.Steps); from += across {
		if from > 0 {
			f.H += RowHeight
		}
		f.H = b.row(f, from, min(from+across, len(b.Steps)), each, f.H)
	}
	return f
}

// row draws steps beside each other and gives the lower edge.
func (b Boxes) row(f *Figure, from, to int, each, top float64) float64 {
	lines, titles := 1, make([][]string, len(b.Steps))
	for i := from; i < to; i++ {
		s := b.Steps[i]
		titles[i] = wrapWords(s.Title, each-3, false)
		lines = max(lines, len(titles[i])+len(wrapWords(counted(s.Count), each-3, true)))
	}
	h := float64(lines)*RowHeight + 2
	y := top + h
	for i := from; i < to; i++ {
		s, x := b.Steps[i], float64(i-from)*(each+boxGap)
		f.maybeKey(s.ID, s.Count+" "+s.Title, func(f *Figure) {
			f.add(Rect{Box{x, top, each, h}, 0.8, nil, Pen{Colour: Grey, Width: 0.25}})
			at := top + 4.4
			for _, l := range wrapWords(counted(s.Count), each-3, true) {
				f.text(x+1.5, at, l, Start, true)
				at += RowHeight
			}
			for _, l := range titles[i] {
				f.ink(x+1.5, at, l, Start, false, Muted)
				at += RowHeight
			}
		})
		if i < to-1 {
			f.arrows(1, Point{x + each + 0.8, top + h/2}, Point{x + each + boxGap - 1.3, top + h/2}, Pen{Colour: Grey, Width: 0.35})
		}
		at := top + h + 4.4
		room := each + boxGap - 3
		if i == to-1 { // the margin is beside it
			room = each - 1.5
		}
		f.maybeKey(s.LeftID, strings.Join(s.Left, "; "), func(f *Figure) {
			for _, reason := range s.Left {
				for _, l := range wrapWords(reason, room, false) {
					f.ink(x+1.5, at, l, Start, false, Muted)
					at += RowHeight - 0.4
				}
				at += 0.8
			}
		})
		y = max(y, at-2.6)
	}
	return y
}

// counted lets the noun of a count go below its number.
func counted(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }
