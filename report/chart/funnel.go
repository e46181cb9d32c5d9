package chart

import (
	"math"
	"strconv"
)

// FunnelPoint is one unit, known by its code only.
type FunnelPoint struct {
	ID          string // where it can be pointed at
	Code        string
	Size, Value float64
	Beyond      bool // outside the outer limits
	Outside     bool // outside the inner limits
}

// FunnelLimit is the funnel at one size.
type FunnelLimit struct{ Size, Low95, High95, Low998, High998 float64 }

// Funnel sets units by their size against the limits of chance.
type Funnel struct {
	Title          string
	Points         []FunnelPoint
	Limits         []FunnelLimit
	Target         float64
	XLabel, YLabel string
	Width          float64
}

const (
	funnelPlotH = 62.0
	funnelLeft  = 12.0
	funnelRight = 24.0
	// labelEvery: with more units only those outside the limits are labelled.
	labelEvery = 15
)

// Figure draws the funnel.
func (fu Funnel) Figure(desc string) *Figure {
	top := 2.2 * RowHeight
	f := &Figure{Title: fu.Title, Desc: desc, W: fu.Width, H: top + funnelPlotH + 2.2*RowHeight}
	largest := 0.0
	lo, hi := fu.Target, fu.Target
	for _, p := range fu.Points {
		largest = math.Max(largest, p.Size)
		lo, hi = math.Min(lo, p.Value), math.Max(hi, p.Value)
	}
	if n := len(fu.Limits); n > 0 {
		l := fu.Limits[n/6]
		lo, hi = math.Min(lo, l.Low998), math.Max(hi, l.High998)
	}
	ticks := Ticks(math.Max(0, lo), math.Min(1, hi), 6)
	y := axis{ticks[0], math.Min(1, ticks[len(ticks)-1]), top + funnelPlotH, -funnelPlotH}
	across := Ticks(0, 1.05*largest, 6)
	x := axis{0, across[len(across)-1], funnelLeft, fu.Width - funnelLeft - funnelRight}
	f.ink(0, 3.2, fu.YLabel, Start, false, Muted)
	for _, t := range ticks {
		if y.inside(t) {
			f.line(x.x, y.at(t), x.x+x.w, y.at(t), gridPen)
			f.ink(funnelLeft-1.5, y.at(t)+1.1, percentLabel(t), End, false, Muted)
		}
	}
	f.line(x.x, top+funnelPlotH, x.x+x.w, top+funnelPlotH, axisPen)
	for _, t := range across {
		f.line(x.at(t), top+funnelPlotH, x.at(t), top+funnelPlotH+0.9, axisPen)
		f.ink(x.at(t), top+funnelPlotH+RowHeight, strconv.Itoa(int(math.Round(t))), Middle, false, Muted)
	}
	f.ink(x.x+x.w, top+funnelPlotH+2*RowHeight, fu.XLabel, End, false, Muted)
	fu.curves(f, x, y)
	fu.points(f, x, y)
	return f
}

// curves draws target and limits, named where they leave the plot.
func (fu Funnel) curves(f *Figure, x, y axis) {
	f.line(x.x, y.at(fu.Target), x.x+x.w, y.at(fu.Target), refPen)
	named := []namedLine{{y.at(fu.Target), "all together"}}
	outer := Pen{Colour: Ink, Width: 0.35}
	inner := Pen{Colour: Ink, Width: 0.3, Dash: []float64{1.8, 1.1}}
	for _, c := range []struct {
		of   func(FunnelLimit) float64
		pen  Pen
		name string
	}{
		{func(l FunnelLimit) float64 { return l.High998 }, outer, "99.8 % limits"},
		{func(l FunnelLimit) float64 { return l.High95 }, inner, "95 % limits"},
		{func(l FunnelLimit) float64 { return l.Low95 }, inner, ""},
		{func(l FunnelLimit) float64 { return l.Low998 }, outer, ""},
	} {
		var pts []Point
		for _, l := range fu.Limits {
			v := c.of(l)
			if !x.inside(l.Size) || !y.inside(v) {
				if len(pts) > 1 {
					f.add(Polyline{pts, c.pen})
				}
				pts = nil
				continue
			}
			pts = append(pts, Point{x.at(l.Size), y.at(v)})
		}
		if len(pts) > 1 {
			f.add(Polyline{pts, c.pen})
			if c.name != "" {
				named = append(named, namedLine{pts[len(pts)-1].Y, c.name})
			}
		}
	}
	f.nameLines(x.x+x.w+1.5, named)
}

// points with their codes beside them where there is room; codes without room
// are left to the table.
func (fu Funnel) points(f *Figure, x, y axis) {
	taken := []Box{{x.x, y.at(fu.Target) - 0.4, x.w, 0.8}}
	for _, l := range fu.Limits {
		for _, v := range []float64{l.Low95, l.High95, l.Low998, l.High998} {
			if x.inside(l.Size) && y.inside(v) {
				taken = append(taken, Box{x.at(l.Size) - 2, y.at(v) - 0.4, 4, 0.8})
			}
		}
	}
	for _, p := range fu.Points {
		px, py := x.at(p.Size), y.at(p.Value)
		taken = append(taken, Box{px - 1.6, py - 1.6, 3.2, 3.2})
		f.maybeKey(p.ID, p.Code+": "+percentLabel(p.Value)+" %", func(f *Figure) {
			solid(f, px, py, Ink)
			if p.Beyond {
				f.add(Circle{Point{px, py}, 2.2, nil, Pen{Colour: Vermilion, Width: 0.5}})
			}
		})
	}
	for _, p := range fu.Points {
		if len(fu.Points) > labelEvery && !p.Outside && !p.Beyond {
			continue
		}
		px, py := x.at(p.Size), y.at(p.Value)
		for _, t := range []Text{
			{At: Point{px + 2.4, py + 1.1}, Anchor: Start},
			{At: Point{px - 2.4, py + 1.1}, Anchor: End},
			{At: Point{px, py - 2.6}, Anchor: Middle},
			{At: Point{px, py + 4.8}, Anchor: Middle},
			{At: Point{px + 2, py - 1.8}, Anchor: Start},
			{At: Point{px + 2, py + 4}, Anchor: Start},
			{At: Point{px - 2, py - 1.8}, Anchor: End},
			{At: Point{px - 2, py + 4}, Anchor: End},
		} {
			t.Text, t.Size, t.Colour = p.Code, TextSize, Muted
			b := t.Bounds()
			if b.X < x.x || b.X+b.W > x.x+x.w || b.Y < y.x+y.w || b.Y+b.H > y.x || overlaps(b, taken) {
				continue
			}
			taken = append(taken, b)
			f.add(t)
			break
		}
	}
}

func overlaps(b Box, others []Box) bool {
	for _, o := range others {
		if b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H {
			return true
		}
	}
	return false
}
