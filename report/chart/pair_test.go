package chart

import (
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

// A bare number in a tooth would be read as that of the tooth: each has its sign, and
// both stay within the tooth.
func TestPercentagesInTeethHaveTheirSign(t *testing.T) {
	f := Arches{Arches: []Arch{archOf("a", false)}, Across: 3}.Draw(174)
	texts := f.Texts()
	signs := 0
	for i, x := range texts {
		if x.Text == "%" {
			signs++
			number := texts[i-1]
			assert.InDelta(t, number.Bounds().X+number.Bounds().W, x.At.X, 1e-9, "the sign follows its number")
			assert.GreaterOrEqual(t, number.Size, leastTooth*toothPt-1e-9)
		}
	}
	filled := 0
	for i, x := range archOf("a", false).Teeth {
		if !x.none() && !x.Few && !isThird(i) {
			filled++
		}
	}
	assert.Equal(t, filled, signs)
}
