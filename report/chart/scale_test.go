package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Heckbert 1990: nicenum(x, round) rounds the fraction at 1.5, 3 and 7.
func TestNiceNumbers(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{1, 1}, {1.49, 1}, {1.5, 2}, {2.9, 2}, {3, 5}, {6.9, 5}, {7, 10}, {0.0149, 0.01}, {290, 200}, {0.3001, 0.5},
	} {
		assert.InDelta(t, c.want, nice(c.x), 1e-12*c.want, "%v", c.x)
	}
}

func TestTicksEncloseTheRange(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		n      int
		want   []float64
	}{
		{0, 1.1, 7, []float64{0, 0.2, 0.4, 0.6, 0.8, 1, 1.2}},
		{-0.3, 0.3, 7, []float64{-0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3}},
		{0, 0.62, 4, []float64{0, 0.2, 0.4, 0.6, 0.8}},
		{105, 543, 5, []float64{100, 200, 300, 400, 500, 600}},
	} {
		assert.InDeltaSlice(t, c.want, Ticks(c.lo, c.hi, c.n), 1e-9)
	}
	assert.Equal(t, []float64{2}, Ticks(2, 2, 5))
}

// A target on an end of the scale would be hidden by the axis; a share of none
// or of all is the end of every scale.
func TestTargetIsOffTheEdge(t *testing.T) {
	ends := func(target float64, share bool, values ...float64) [2]float64 {
		r := RunChart{Target: target, Centre: math.NaN(), Share: share}
		for _, v := range values {
			r.Points = append(r.Points, RunPoint{Value: v, Low: math.NaN(), High: math.NaN()})
		}
		ticks := r.ticks()
		return [2]float64{ticks[0], ticks[len(ticks)-1]}
	}
	assert.InDeltaSlice(t, []float64{0.4, 0.9}, sliceOf(ends(0.5, true, 0.76, 0.83)), 1e-9)
	assert.InDeltaSlice(t, []float64{3, 8}, sliceOf(ends(4, false, 7, 7.2)), 1e-9)
	assert.InDeltaSlice(t, []float64{0, 0.25}, sliceOf(ends(0, true, 0.1, 0.25)), 1e-9)
	assert.InDeltaSlice(t, []float64{0.75, 1}, sliceOf(ends(1, true, 0.75, 0.8)), 1e-9)
	assert.InDeltaSlice(t, []float64{30, 55}, sliceOf(ends(50, false, 32, 43)), 1e-9)
}

func sliceOf(x [2]float64) []float64 { return x[:] }

func TestTicksLaws(t *testing.T) {
	for _, lo := range []float64{-7.3, -0.01, 0, 0.4, 12} {
		for _, w := range []float64{0.001, 0.37, 1, 9.9, 1234} {
			ts := Ticks(lo, lo+w, 6)
			assert.LessOrEqual(t, ts[0], lo+1e-9)
			assert.GreaterOrEqual(t, ts[len(ts)-1], lo+w-1e-9*w)
			assert.True(t, len(ts) >= 3 && len(ts) <= 14, "%v from %v: %d ticks", w, lo, len(ts))
		}
	}
}

// WCAG 2.2, 1.4.3: black on white is 21:1, and #767676 on white, the palest
// grey that passes, 4.54:1.
func TestContrastAgainstWCAG(t *testing.T) {
	assert.InDelta(t, 21, Contrast(Colour{}, Paper), 1e-9)
	assert.InDelta(t, 4.54, Contrast(Colour{0x76, 0x76, 0x76}, Paper), 0.005)
	assert.InDelta(t, Contrast(Ink, Blue), Contrast(Blue, Ink), 1e-12)
}

func TestTextContrast(t *testing.T) {
	for _, c := range []Colour{Ink, Muted} {
		assert.GreaterOrEqual(t, Contrast(c, Paper), 4.5)
	}
}

// What is written on paper reads there, in the colour of its style too (WCAG 2.2,
// 1.4.3); in a tooth or a piece of a bar it is on a fill, which has a test of its own.
func TestLetteringReadsOnPaper(t *testing.T) {
	for name, f := range figures() {
		for _, x := range f.Texts() {
			if onFill := x.Colour == Paper || x.Colour == (Colour{}); !onFill {
				assert.GreaterOrEqual(t, Contrast(x.Colour, Paper), 4.5, "%s: %s", name, x.Text)
			}
		}
	}
	assert.Less(t, Contrast(FilledCircle.Colour(), Paper), 4.5, "the hue of the mark would not do for words")
}

// Okabe & Ito's blue and vermilion, as published (J*Fly 2008: 0,114,178 and 213,94,0).
func TestHuesOfTheStyles(t *testing.T) {
	assert.Equal(t, Colour{0, 114, 178}, OpenSquare.Colour())
	assert.Equal(t, Colour{213, 94, 0}, FilledCircle.Colour())
}

// Hatch lines stay inside their box and run at 45 degrees.
func TestHatchStaysInside(t *testing.T) {
	h := Hatch{Box{3, 5, 7, 2}, 0.9, Pen{Width: 0.1}}
	lines := h.lines()
	assert.Greater(t, len(lines), 4)
	for _, it := range lines {
		l := it.(Line)
		for _, p := range []Point{l.A, l.B} {
			assert.True(t, p.X >= 3-1e-9 && p.X <= 10+1e-9 && p.Y >= 5-1e-9 && p.Y <= 7+1e-9, "%v", p)
		}
		assert.InDelta(t, l.B.X-l.A.X, l.A.Y-l.B.Y, 1e-9)
	}
}

// The crown widths add up to arches of 128 and 126 mm (the sums of the table).
func TestCrownWidths(t *testing.T) {
	for arch, want := range []float64{128, 126} {
		sum := 0.0
		for _, w := range crownWidths[arch] {
			sum += 2 * w
		}
		assert.InDelta(t, want, sum, 1e-9)
	}
}

func TestStackShiftsEverything(t *testing.T) {
	one := func() *Figure {
		clip := Box{0, 0, 5, 5}
		w := Paper
		return &Figure{W: 10, H: 10, Items: []Item{
			Line{Point{0, 1}, Point{2, 3}, Pen{}},
			Polyline{[]Point{{0, 1}}, Pen{}},
			Polygon{[]Point{{0, 1}}, nil, Pen{}},
			Rect{Box{0, 1, 2, 2}, 0, &w, Pen{}},
			Circle{Point{0, 1}, 1, nil, Pen{}},
			Text{At: Point{0, 1}},
			Hatch{Box: Box{0, 1, 2, 2}},
			Group{Clip: &clip, Items: []Item{Text{At: Point{0, 1}}}},
		}}
	}
	s := Stack(2, "t", "d", one(), one())
	assert.InDelta(t, 22, s.H, 1e-9)
	assert.Len(t, s.Items, 16)
	assert.Equal(t, Point{0, 13}, s.Items[8].(Line).A)
	g := s.Items[15].(Group)
	assert.InDelta(t, 12, g.Clip.Y, 1e-9)
	assert.InDelta(t, 13, g.Items[0].(Text).At.Y, 1e-9)
	assert.InDelta(t, 0, one().Items[7].(Group).Clip.Y, 1e-9, "the stacked figure is left alone")
}

// In a grey print the four steps keep their order, well apart, and what is written in a
// tooth reads on each of them (WCAG 2.2, 1.4.3).
func TestStepsOfTheArchesHoldInGrey(t *testing.T) {
	require.Len(t, archSteps, 4)
	for i, s := range archSteps {
		assert.GreaterOrEqual(t, Contrast(On(s.colour), s.colour), 4.5, s.words)
		if i > 0 {
			assert.GreaterOrEqual(t, Contrast(s.colour, archSteps[i-1].colour), 1.3, "%s beside %s", s.words, archSteps[i-1].words)
			assert.Greater(t, s.colour.luminance(), archSteps[i-1].colour.luminance())
		}
	}
}
