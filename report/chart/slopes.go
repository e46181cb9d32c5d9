package chart

import (
	"maps"
	"math"
	"slices"
)

// Slope is one line from before to after, already worded.
type Slope struct {
	ID, Title string
	From, To  float64
	Label     string // behind its end
	Before    string // the first value, before its start
	Strong    bool
}

// SlopePanel holds the slopes of one quantity on one scale.
type SlopePanel struct {
	Title, Under string // the quantity; its unit
	Slopes       []Slope
	Lo, Hi       float64 // of the scale
}

// Slopes are panels side by side, so many in a row.
type Slopes struct {
	Title, Desc string
	From, To    string // the two ends, "first course" and "next course"
	Panels      []SlopePanel
	Across      int
	Height      float64 // of the part of a panel that is drawn, mm
	Labels      float64 // share of the width of a panel for the labels; 0: 0.6
}

const (
	slopeGap  = 6.0
	slopeLeft = 9.0 // room for the values before a start
)

// Tight lowers the panels.
func (s Slopes) Tight(level int) Drawing {
	s.Height = math.Max(s.height()-4*float64(level), 9)
	return s
}

// Draw draws the panels.
func (s Slopes) Draw(w float64) *Figure {
	across := max(1, s.Across)
	each := (w - slopeGap*float64(across-1)) / float64(across)
	var rows []*Figure
	for part := range slices.Chunk(s.Panels, across) {
		var row []*Figure
		for _, p := range part {
			row = append(row, s.panel(p, each))
		}
		rows = append(rows, Beside(slopeGap, "", "", row...))
	}
	f := Stack(4, s.Title, s.Desc, rows...)
	f.W = w
	return f
}

func (s Slopes) height() float64 {
	if s.Height > 0 {
		return s.Height
	}
	return 34
}

func (s Slopes) labels() float64 {
	if s.Labels > 0 {
		return s.Labels
	}
	return 0.6
}

func (s Slopes) panel(p SlopePanel, w float64) *Figure {
	h := s.height()
	top := 1.4 * RowHeight
	f := &Figure{W: w, H: top + h + RowHeight + 1}
	f.text(0, 3.4, p.Title, Start, true)
	f.ink(width(p.Title, true)+2, 3.4, p.Under, Start, false, Muted)
	x1, x2 := slopeLeft, w*(1-s.labels())
	for _, l := range p.Slopes {
		x1 = math.Max(x1, width(l.Before, false)+2.2)
	}
	at := func(v float64) float64 { return top + h - (v-p.Lo)/(p.Hi-p.Lo)*h }
	for _, x := range []float64{x1, x2} {
		f.line(x, top, x, top+h, gridPen)
	}
	f.ink(x1, top+h+4, s.From, Middle, false, Muted)
	f.ink(x2, top+h+4, s.To, Middle, false, Muted)
	ends := labelled(p.Slopes, h, func(l Slope) (string, float64) { return l.Label, at(l.To) })
	starts := labelled(p.Slopes, h, func(l Slope) (string, float64) { return l.Before, at(l.From) })
	settle(ends, top+2, top+h)
	settle(starts, top+2, top+h)
	for _, i := range paleFirst(p.Slopes) {
		l := p.Slopes[i]
		f.key(l.ID, l.Title, func(f *Figure) {
			pen, ink := Pen{Colour: PaleMark, Width: 0.35}, Muted
			if l.Strong {
				pen, ink = Pen{Colour: Ink, Width: 0.7}, Ink
			}
			f.line(x1, at(l.From), x2, at(l.To), pen)
			Dot.draw(f, x1, at(l.From))
			Dot.draw(f, x2, at(l.To))
			if y, ok := starts[i]; ok && repeats(p.Slopes, i) < 0 {
				f.ink(x1-2.2, y, l.Before, End, false, Muted)
			}
			if y, ok := ends[i]; ok {
				f.add(Text{At: Point{x2 + 2.8, y}, Text: fitText(l.Label, w-x2-3, false), Colour: ink, Size: TextSize})
			}
		})
	}
	return f
}

// paleFirst is the order of drawing: what matters lies over what does not.
func paleFirst(ls []Slope) (order []int) {
	for _, strong := range []bool{false, true} {
		for i := range ls {
			if ls[i].Strong == strong {
				order = append(order, i)
			}
		}
	}
	return order
}

// labelled gives the baselines of the labels there are, by slope; of more than
// a panel has room for, those that come first.
func labelled(ls []Slope, h float64, of func(Slope) (string, float64)) map[int]float64 {
	out := map[int]float64{}
	for i, l := range ls {
		if s, y := of(l); s != "" && float64(len(out))*labelGap <= h-2 {
			out[i] = y + 1.2
		}
	}
	return out
}

const labelGap = RowHeight - 0.8

// settle moves labels apart.
func settle(at map[int]float64, top, bottom float64) {
	keys := slices.Sorted(maps.Keys(at))
	ys := make([]float64, len(keys))
	for k, i := range keys {
		ys[k] = at[i]
	}
	apart(ys, labelGap, top, bottom)
	for k, i := range keys {
		at[i] = ys[k]
	}
}

// repeats finds an earlier slope whose first value reads the same, or -1.
func repeats(ls []Slope, i int) int {
	for k := range i {
		if ls[k].Before == ls[i].Before {
			return k
		}
	}
	return -1
}

// apart moves baselines so that they are at least gap mm from each other and
// between top and bottom, keeping their order.
func apart(ys []float64, gap, top, bottom float64) {
	order := make([]int, len(ys))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case ys[a] < ys[b]:
			return -1
		case ys[a] > ys[b]:
			return 1
		}
		return 0
	})
	for k, i := range order {
		low := top
		if k > 0 {
			low = ys[order[k-1]] + gap
		}
		ys[i] = math.Max(ys[i], low)
	}
	for k := len(order) - 1; k >= 0; k-- {
		high := bottom
		if k < len(order)-1 {
			high = ys[order[k+1]] - gap
		}
		ys[order[k]] = math.Min(ys[order[k]], high)
	}
}
