package chart

import "math"

// BarPanel is one small multiple of counts.
type BarPanel struct {
	Title, Note string
	Bars        []Bar
	Marker      Marker
}

// Bar is one bar of a panel.
type Bar struct {
	ID     string // of its datum, where it can be pointed at
	Label  string
	Count  int
	Share  float64 // of the panel's cases, 0 to 1
	Hidden bool    // too few to show
}

// Bars are small multiples side by side on one scale of shares.
type Bars struct {
	Title, Desc string
	XLabel      string
	Panels      []BarPanel
	low         int // levels of Tight
}

// barPlotH is the height of the bars, at least barLeast, in mm. Panels share the width,
// each at most barShare of it.
const (
	barPlotH = 30.0
	barLeast = 12.0
	barShare = 1.0 / 3
)

// Tight lowers the bars.
func (b Bars) Tight(level int) Drawing {
	b.low += level
	return b
}

func (b Bars) height() float64 { return math.Max(barPlotH-4*float64(b.low), barLeast) }

// Draw draws the panels.
func (b Bars) Draw(width float64) *Figure {
	h := b.height()
	f := &Figure{Title: b.Title, Desc: b.Desc, W: width, H: 3*RowHeight + h + 2.3*RowHeight}
	most := 0.2
	for _, p := range b.Panels {
		for _, bar := range p.Bars {
			most = math.Max(most, bar.Share)
		}
	}
	t := Ticks(0, most, max(2, int(h/7.5)))
	top := t[len(t)-1]
	const left, gap = 10.0, 6.0
	n := float64(len(b.Panels))
	w := math.Min((width-left-gap*(n-1))/math.Max(n, 1), barShare*width)
	right := left + n*(w+gap) - gap
	base := 3*RowHeight + h
	for _, v := range t {
		y := base - v/top*h
		f.line(left, y, right, y, gridPen)
		f.ink(left-1.5, y+1.1, percentLabel(v), End, false, Muted)
	}
	f.ink(0, base-h-3, "%", Start, false, Muted)
	for i, p := range b.Panels {
		b.panel(f, p, left+float64(i)*(w+gap), w, base, top)
	}
	f.ink(left, base+2*RowHeight, b.XLabel, Start, false, Muted)
	return f
}

func (b Bars) panel(f *Figure, p BarPanel, x, w, base, top float64) {
	f.text(x+1, 3.2, fitText(p.Title, w, true), Start, true)
	f.ink(x+1, 3.2+RowHeight, p.Note, Start, false, Muted)
	c := p.Marker.Colour()
	step := w / float64(max(1, len(p.Bars)))
	for i, bar := range p.Bars {
		h := bar.Share / top * b.height()
		mid := x + (float64(i)+0.5)*step
		f.ink(mid, base+4, bar.Label, Middle, false, Muted)
		if bar.Hidden {
			f.add(Hatch{Box{mid - 0.34*step, base - 6, 0.68 * step, 6}, 0.9, Pen{Colour: RuleGrey, Width: 0.15}})
			continue
		}
		draw := func(f *Figure) {
			if h > 0 {
				f.add(Rect{Box{mid - 0.34*step, base - h, 0.68 * step, h}, 0, &c, Pen{}})
			}
			f.text(mid, base-h-1, itoa(bar.Count), Middle, false)
		}
		if bar.ID == "" || bar.Count == 0 {
			draw(f)
			continue
		}
		f.key(bar.ID, p.Title+", "+bar.Label+": "+itoa(bar.Count), draw)
	}
	f.line(x, base, x+w, base, axisPen)
}
