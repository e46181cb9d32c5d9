package chart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// switchParts are the tick, the mark and both numbers of one row.
func switchParts(t *testing.T, r SwitchRow) (tick Line, mark Circle, texts []Text) {
	t.Helper()
	r.FromText, r.ToText, r.Lo, r.Hi, r.Mark = "first", "next", nan, nan, FilledCircle
	f := &Figure{}
	Switches{}.row(f, axis{0, 1, switchPlot, 46}, r, 0, 174)
	for _, it := range f.Items {
		switch it := it.(type) {
		case Line:
			if it.A.X == it.B.X && it.A.Y != it.B.Y {
				tick = it
			}
		case Circle:
			mark = it
		case Text:
			if it.Text == "first" || it.Text == "next" {
				texts = append(texts, it)
			}
		}
	}
	require.Len(t, texts, 2)
	return tick, mark, texts
}

// However near the two courses lie and whichever is ahead, the number of each stands on
// its own side, beside its own mark, and over neither.
func TestNumbersOfASwitchStandOnTheirSides(t *testing.T) {
	for _, r := range []SwitchRow{{From: 0.25, To: 0.45}, {From: 0.45, To: 0.25}, {From: 0.25, To: 0.26}, {From: 0.26, To: 0.25}, {From: 0.3, To: 0.3}, {From: 0.3, To: 0.32}} {
		tick, mark, texts := switchParts(t, r)
		first, next := texts[0].Bounds(), texts[1].Bounds()
		if r.To >= r.From {
			assert.Less(t, first.X+first.W, tick.A.X-0.5)
			assert.Less(t, first.X+first.W, mark.Centre.X-mark.Radius)
			assert.Greater(t, next.X, mark.Centre.X+mark.Radius)
			assert.Greater(t, next.X, tick.A.X+0.5)
		} else {
			assert.Greater(t, first.X, tick.A.X+0.5)
			assert.Greater(t, first.X, mark.Centre.X+mark.Radius)
			assert.Less(t, next.X+next.W, mark.Centre.X-mark.Radius)
			assert.Less(t, next.X+next.W, tick.A.X-0.5)
		}
		own, other := min(first.X, next.X), max(first.X, next.X)
		assert.Less(t, other-own, 30.0, "near their marks")
	}
}

// A figure divided over pages has the scale of all on each of them, also where it is
// divided again.
func TestSwitchesOverPagesKeepTheirScale(t *testing.T) {
	s := newerSwitches()
	s.Groups[1].Rows[1].From = -0.1
	all := s.scale(174)
	assert.Equal(t, []float64{-0.25, 1.25}, []float64{all.lo, all.hi})
	first := s.Part(0, 1)
	assert.Equal(t, all, first.(Switches).scale(174), "whose own values need less")
	assert.Equal(t, all, s.Part(0, 2).(Divisible).Part(0, 1).(Switches).scale(174))
	assert.Equal(t, all, first.(Tightener).Tight(1).(Switches).scale(174))
}

// What would be expected is seen: a grey that is told from paper (WCAG 2.2, 1.4.11 asks
// 3:1 of what a figure is read by; this is an aid beside its number in the table) and no
// number over it.
func TestExpectedOfASwitchIsSeen(t *testing.T) {
	assert.Greater(t, Contrast(PaleMark, Paper), 2.5)
	for level := range 4 {
		s := Switches{low: level}
		f := &Figure{}
		s.row(f, axis{0, 1, switchPlot, 46}, SwitchRow{From: 0.2, To: 0.3, FromText: "20", ToText: "30", Lo: 0.1, Hi: 0.6}, 0, 174)
		var bar Rect
		for _, it := range f.Items {
			if r, ok := it.(Rect); ok && r.Fill != nil && *r.Fill == PaleMark {
				bar = r
			}
		}
		assert.GreaterOrEqual(t, bar.Box.H, 0.6)
		assert.LessOrEqual(t, bar.Box.Y+bar.Box.H, s.rowHeight())
		for _, x := range f.Texts() {
			assert.LessOrEqual(t, x.At.Y, bar.Box.Y, "digits stand on their baseline, above it")
		}
	}
}
