package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn gives the marks and the numbers of one row of a pair.
func drawn(t *testing.T, r DotRow) (square Box, circle Circle, texts []Text, ties []Line) {
	t.Helper()
	r.Pair, r.SoftwareText, r.ClinicianText = true, percentLabel(r.Software), percentLabel(r.Clinician)
	f := &Figure{}
	Dots{RowHeight: 4.75}.pair(f, axis{0, 1, 57, 57}, r, 0)
	for _, it := range f.Items {
		switch it := it.(type) {
		case Rect:
			if it.Pen.Colour == Blue {
				square = it.Box
			}
		case Circle:
			circle = it
		case Text:
			texts = append(texts, it)
		case Line:
			ties = append(ties, it)
		}
	}
	require.Len(t, texts, 2)
	return square, circle, texts, ties[1:] // the first joins the marks
}

// Whichever style is ahead and however close they lie, the number on the left belongs
// to the mark on the left and has the colour of its style, and no mark hides another.
func TestNumbersOfAPairBelongToTheirMarks(t *testing.T) {
	for _, r := range []DotRow{
		{Software: 0.40, Clinician: 0.60},
		{Software: 0.60, Clinician: 0.40},
		{Software: 0.59, Clinician: 0.60},
		{Software: 0.60, Clinician: 0.59},
		{Software: 0.5, Clinician: 0.5},
		{Software: 0.5, Clinician: 0.5, Strong: true},
	} {
		square, circle, texts, ties := drawn(t, r)
		software, clinician := texts[0], texts[1]
		assert.Equal(t, OpenSquare.Lettering(), software.Colour)
		assert.Equal(t, FilledCircle.Lettering(), clinician.Colour)
		left := software.Bounds().X < clinician.Bounds().X
		x := square.X + square.W/2
		if r.Software != r.Clinician {
			assert.Equal(t, x < circle.Centre.X, left, "%v", r)
		}
		apart := circle.Centre.X - circle.Radius - (square.X + square.W)
		if x > circle.Centre.X {
			apart = square.X - (circle.Centre.X + circle.Radius)
		}
		seen := circle.Centre.Y + circle.Radius - (square.Y + square.H)
		assert.True(t, apart > -0.2 || seen > 0.8, "%v: %.2f mm beside, %.2f mm below", r, apart, seen)
		if apart > 0 {
			assert.Empty(t, ties, "%v", r)
			continue
		}
		// Without colour a number is that of the mark at its height, which a stroke ties it to.
		require.Len(t, ties, 2, "%v", r)
		for i, y := range []float64{square.Y + square.H/2, circle.Centre.Y} {
			assert.InDelta(t, y, ties[i].A.Y, 1e-9)
			b := texts[i].Bounds()
			assert.InDelta(t, y, b.Y+b.H/2, 0.55, "the number stands at that height")
			assert.Equal(t, texts[i].Anchor == Start, ties[i].B.X > ties[i].A.X)
		}
	}
}

// A bare number in a tooth could be read as that of the tooth: the legend says which is
// which, and both are as large as anything on paper must be.
func TestNumbersInTeethAreExplained(t *testing.T) {
	f := Arches{Arches: []Arch{archOf("a", false)}, Across: 3}.Draw(174)
	explained, inTeeth := false, 0
	for _, x := range f.Texts() {
		explained = explained || x.Text == numberKey.words
		assert.GreaterOrEqual(t, x.Size, leastPt, x.Text)
		if x.Size > leastPt-1e-9 && x.Size <= toothPt && x.Anchor == Middle && x.Colour != Muted && x.Text != "%" {
			inTeeth++
		}
	}
	assert.True(t, explained)
	filled := 0
	for i, x := range archOf("a", false).Teeth {
		if !x.none() && !x.Few && !isThird(i) {
			filled++
		}
	}
	assert.Equal(t, filled, inTeeth)
	for _, x := range (Arches{Arches: []Arch{kindsOf("a", true)}, Across: 3}).Draw(174).Texts() {
		assert.NotEqual(t, numberKey.words, x.Text, "no number stands in a tooth")
	}
}

// The legend has the steps that are drawn, no other.
func TestLegendHasWhatIsDrawn(t *testing.T) {
	a := archOf("a", false)
	for i := range a.Teeth {
		if !a.Teeth[i].none() {
			a.Teeth[i].Value, a.Teeth[i].Text, a.Teeth[i].Few = 0.4, "40", false
		}
	}
	words := map[string]bool{}
	for _, x := range (Arches{Arches: []Arch{a}, Across: 3}).Draw(174).Texts() {
		words[x.Text] = true
	}
	assert.True(t, words["35 to 49"])
	assert.True(t, words["none planned"])
	for _, not := range []string{"under 35 %", "50 to 64", "65 and over", "too few to show"} {
		assert.False(t, words[not], not)
	}
}

// A difference stands with its interval about the line of none, in a column of its own that
// no mark or number of a style reaches; one that leaves its scale ends in an arrow.
func TestDifferencesHaveTheirInterval(t *testing.T) {
	rows := []DotRow{
		{ID: "a", Pair: true, Software: 0.2, Clinician: 1, SoftwareText: "20", ClinicianText: "100", Gap: 0.2, Low: 0.05, High: 0.35, Strong: true},
		{ID: "b", Pair: true, Software: 0.5, Clinician: 0.4, SoftwareText: "50", ClinicianText: "40", Gap: -0.1, Low: -0.9, High: 0.7},
	}
	d := Dots{Software: "software-suggested", Clinician: "clinician-designed", Interval: "95 % CI", Groups: []DotGroup{{"Clear difference", rows[:1]}, {"No clear difference", rows[1:]}}}
	for _, w := range []float64{174, 180} {
		achieved, gaps := d.plots(w)
		assert.Greater(t, achieved.w, 35.0)
		assert.InDelta(t, 0.5*beyondTick, gaps.hi, 1e-9, "one wide interval does not press all others together")
		for _, r := range rows {
			f := &Figure{}
			d.row(f, achieved, gaps, r, 0, w)
			heads := 0
			var mark Circle
			for _, it := range f.Items {
				switch it := it.(type) {
				case Circle:
					if it.Centre.X > gaps.x {
						mark = it
					}
				case Polygon:
					if it.Points[0].X > gaps.x-1 && len(it.Points) == 3 {
						heads++
					}
				case Text:
					if b := it.Bounds(); it.Text == r.SoftwareText || it.Text == r.ClinicianText {
						assert.Less(t, b.X+b.W, gaps.x+0.2)
					}
				}
			}
			assert.InDelta(t, gaps.at(r.Gap), mark.Centre.X, 1e-9)
			assert.Equal(t, r.Gap > 0, mark.Centre.X > gaps.at(0))
			assert.Equal(t, r.Low < -0.575, heads > 0, "%s", r.ID)
		}
	}
	none := Dots{Groups: []DotGroup{{"Cannot be compared", []DotRow{{Pooled: 0.5, Low: nan, High: nan}}}}}
	alone, gaps := none.plots(174)
	assert.Zero(t, gaps.w)
	assert.InDelta(t, 174-dotX-alonePlot, alone.w, 1e-9, "without differences their room is for the rest")
}

// A value without an interval is told from one with, and the reason is in the figure.
func TestWithoutAnIntervalIsHollow(t *testing.T) {
	fill := func(r DotRow) Colour {
		r.Pooled, r.PooledText = 0.5, "50"
		d := Dots{NoInterval: "fewer than 10 cases: no interval", Groups: []DotGroup{{"Cannot be compared", []DotRow{r}}}}
		f := d.Draw(174)
		said := false
		for _, x := range f.Texts() {
			said = said || x.Text == d.NoInterval
		}
		assert.Equal(t, math.IsNaN(r.Low), said)
		var in Colour
		for _, it := range f.Items {
			if k, ok := it.(Key); ok {
				for _, it := range k.Items {
					if c, ok := it.(Circle); ok {
						in = *c.Fill
					}
				}
			}
		}
		return in
	}
	assert.Equal(t, Paper, fill(DotRow{ID: "a", Low: nan, High: nan}))
	assert.Equal(t, Grey, fill(DotRow{ID: "a", Low: 0.4, High: 0.6}))
}

// The scale of differences stands on a ground of its own, its labels too, and the scale of
// what was achieved ends before it, so that the two are not read as one.
func TestTwoScalesAreParted(t *testing.T) {
	f := newerFigures()["dots"].Draw(174)
	ground, labels := []Box{}, map[string]Box{}
	for _, it := range f.Items {
		switch it := it.(type) {
		case Rect:
			if it.Fill != nil && *it.Fill == GroundGrey {
				ground = append(ground, it.Box)
			}
		case Text:
			labels[it.Text] = it.Bounds()
		}
	}
	require.Len(t, ground, 3, "two groups of pairs, and the labels")
	for _, b := range ground {
		assert.Less(t, labels["100"].X+labels["100"].W, b.X)
	}
	below := ground[2]
	for _, text := range []string{"−50", "0", "+50 points"} {
		require.Contains(t, labels, text)
	}
	assert.GreaterOrEqual(t, labels["−50"].X, below.X)
	assert.LessOrEqual(t, labels["+50 points"].X+labels["+50 points"].W, below.X+below.W)
	assert.GreaterOrEqual(t, Contrast(Muted, GroundGrey), 4.5, "WCAG 2.2, 1.4.3")
}
