package chart

import "math"

// RunPoint is one quarter of a run chart; Value NaN is a gap.
type RunPoint struct {
	Label            string // "2025 Q1"
	N                string // cases, as printed under the quarter
	Value, Low, High float64
	Baseline, Ringed bool
	Hollow           bool // outcomes may still come
}

// RunMark is a protocol change at the start of a quarter.
type RunMark struct {
	At   int // index of the quarter
	Text string
}

// RunChart follows a measure by quarter.
type RunChart struct {
	Title  string
	Points []RunPoint
	Centre float64 // NaN: no baseline
	Target float64 // NaN: none
	Marks  []RunMark
	Label  func(float64) string // of the scale
	YLabel string
	Share  bool // between 0 and 1
	Width  float64
}

const (
	runPlotH = 36.0
	runLeft  = 14.0
	runRight = 20.0
)

// Figure draws the chart.
func (r RunChart) Figure(desc string) *Figure {
	top := 1.4*RowHeight + 1.2*RowHeight*float64(len(r.Marks))
	f := &Figure{Title: r.Title, Desc: desc, W: r.Width, H: top + runPlotH + 3.4*RowHeight}
	ticks := r.ticks()
	a := axis{ticks[0], ticks[len(ticks)-1], top + runPlotH, -runPlotH} // upwards
	w := (r.Width - runLeft - runRight) / float64(max(1, len(r.Points)))
	at := func(i int) float64 { return runLeft + (float64(i)+0.5)*w }
	f.ink(0, 3.2, r.YLabel, Start, false, Muted)
	for _, t := range ticks {
		f.line(runLeft, a.at(t), r.Width-runRight, a.at(t), gridPen)
		f.ink(runLeft-1.5, a.at(t)+1.1, r.Label(t), End, false, Muted)
	}
	r.limits(f, a, at, w)
	r.labels(f, at, w, top+runPlotH)
	r.marks(f, at, w, top)
	r.points(f, a, at)
	return f
}

func (r RunChart) ticks() []float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	see := func(v float64) {
		if !math.IsNaN(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	for _, p := range r.Points {
		see(p.Value)
		see(p.Low)
		see(p.High)
	}
	see(r.Centre)
	see(r.Target)
	if math.IsInf(lo, 1) {
		lo, hi = 0, 1
	}
	if hi-lo < 0.05 {
		lo, hi = lo-0.05, hi+0.05
	}
	if r.Share {
		lo, hi = math.Max(0, lo), math.Min(1, hi)
	}
	return r.offTheEdge(Ticks(lo, hi, 5))
}

// offTheEdge adds a tick where the target would lie on an end of the scale,
// hidden by the axis; a share of none or all is an end by itself.
func (r RunChart) offTheEdge(ticks []float64) []float64 {
	if len(ticks) < 2 {
		return ticks
	}
	const tiny = 1e-9
	step, last := ticks[1]-ticks[0], ticks[len(ticks)-1]
	if math.Abs(r.Target-ticks[0]) < tiny && !(r.Share && r.Target < tiny) {
		ticks = append([]float64{ticks[0] - step}, ticks...)
	}
	if math.Abs(r.Target-last) < tiny && !(r.Share && r.Target > 1-tiny) {
		ticks = append(ticks, last+step)
	}
	return ticks
}

// limits draws centre, target and the stepped control limits, each named at
// the right end.
func (r RunChart) limits(f *Figure, a axis, at func(int) float64, w float64) {
	end := r.Width - runRight
	var named []namedLine
	if !math.IsNaN(r.Centre) {
		f.line(runLeft, a.at(r.Centre), end, a.at(r.Centre), refPen)
		named = append(named, namedLine{a.at(r.Centre), "centre"})
	}
	if a.inside(r.Target) {
		f.line(runLeft, a.at(r.Target), end, a.at(r.Target), Pen{Colour: Blue, Width: 0.3, Dash: []float64{2.4, 1.2}})
		named = append(named, namedLine{a.at(r.Target), "target"})
	}
	last := -1
	for i, p := range r.Points {
		for _, v := range []float64{p.Low, p.High} {
			if a.inside(v) {
				f.line(at(i)-w/2, a.at(v), at(i)+w/2, a.at(v), meanPen)
				last = i
			}
		}
	}
	if last >= 0 && a.inside(r.Points[last].High) {
		named = append(named, namedLine{a.at(r.Points[last].High), "limits"})
	}
	f.nameLines(end+1.5, named)
}

// namedLine is a level of the chart with its name at the right end.
type namedLine struct {
	y    float64
	text string
}

// nameLines writes the names, moved apart where lines are close.
func (f *Figure) nameLines(x float64, named []namedLine) {
	for i := range named { // few: insertion sort
		for j := i; j > 0 && named[j].y < named[j-1].y; j-- {
			named[j], named[j-1] = named[j-1], named[j]
		}
	}
	bottom := math.Inf(-1)
	for _, n := range named {
		y := math.Max(n.y+1.1, bottom+RowHeight)
		f.ink(x, y, n.text, Start, false, Muted)
		bottom = y
	}
}

// labels under the plot: quarters, cases, and the baseline as a bracket.
func (r RunChart) labels(f *Figure, at func(int) float64, w, y float64) {
	step := 1
	for float64(step)*w < width("2025 Q4", false)+2 {
		step++
	}
	f.line(runLeft, y, r.Width-runRight, y, axisPen)
	f.ink(r.Width-runRight+1.5, y+2*RowHeight-0.4, "cases", Start, false, Muted)
	for i, p := range r.Points {
		f.line(at(i), y, at(i), y+0.9, axisPen)
		if i%step == 0 {
			f.ink(at(i), y+RowHeight, p.Label, Middle, false, Muted)
			f.ink(at(i), y+2*RowHeight-0.4, p.N, Middle, false, Muted)
		}
		if p.Baseline {
			f.line(at(i)-w/2+0.4, y+2.2*RowHeight, at(i)+w/2-0.4, y+2.2*RowHeight, Pen{Colour: Ink, Width: 0.6})
		}
	}
	for i, p := range r.Points {
		if p.Baseline {
			f.ink(at(i)-w/2+0.4, y+3.1*RowHeight, "declared baseline", Start, false, Muted)
			break
		}
	}
}

// marks are the protocol changes: a labelled vertical line each, every label
// on a line of its own.
func (r RunChart) marks(f *Figure, at func(int) float64, w, top float64) {
	for k, m := range r.Marks {
		x := at(m.At) - w/2
		y := top - 1.2*RowHeight*float64(len(r.Marks)-k) + 3.0
		f.line(x, y+0.8, x, top+runPlotH, Pen{Colour: Vermilion, Width: 0.4, Dash: []float64{1.6, 1}})
		text := fitText(m.Text, 0.6*r.Width, false)
		// Right of its own line, so that the lines of earlier changes pass it by.
		f.text(math.Min(x-0.6, r.Width-width(text, false)), y, text, Start, false)
	}
}

// points joined where quarters follow each other; a gap stays a gap.
func (r RunChart) points(f *Figure, a axis, at func(int) float64) {
	var run []Point
	flush := func() {
		if len(run) > 1 {
			f.add(Polyline{run, Pen{Colour: Ink, Width: 0.35}})
		}
		run = nil
	}
	for i, p := range r.Points {
		if math.IsNaN(p.Value) {
			flush()
			continue
		}
		run = append(run, Point{at(i), a.at(p.Value)})
	}
	flush()
	for i, p := range r.Points {
		if !math.IsNaN(p.Value) {
			f.key("quarter "+p.Label, p.Label+": "+r.Label(p.Value), func(f *Figure) { p.draw(f, at(i), a.at(p.Value)) })
		}
	}
}

func (p *RunPoint) draw(f *Figure, x, y float64) {
	if p.Hollow {
		hollow(f, x, y, Ink)
		return
	}
	solid(f, x, y, Ink)
	if p.Ringed {
		f.add(Circle{Point{x, y}, 2.2, nil, Pen{Colour: Vermilion, Width: 0.5}})
	}
}
