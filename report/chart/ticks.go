package chart

import (
	"math"
	"strconv"
	"strings"
)

// nice gives the "nice" number (1, 2 or 5 times a power of ten) nearest to x:
// Heckbert, Nice Numbers for Graph Labels, Graphics Gems (Glassner ed., 1990),
// 61-63, function nicenum with rounding.
func nice(x float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x)))
	switch f := x / p; {
	case f < 1.5:
		return p
	case f < 3:
		return 2 * p
	case f < 7:
		return 5 * p
	}
	return 10 * p
}

// Ticks gives loose labels for lo..hi: about n multiples of a nice step that
// enclose the range (Heckbert 1990, function loose_label, with the step taken
// from the range as it is, which wastes less paper than from a rounded one).
func Ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) || n < 2 {
		return []float64{lo}
	}
	step := nice((hi - lo) / float64(n-1))
	first, last := math.Floor(lo/step), math.Ceil(hi/step)
	out := make([]float64, 0, int(last-first)+1)
	for i := first; i <= last; i++ {
		out = append(out, i*step+0) // + 0 turns -0 into 0
	}
	return out
}

// axis maps values to mm.
type axis struct {
	lo, hi float64 // values at the ends
	x, w   float64 // mm
}

func (a axis) at(v float64) float64 { return a.x + (v-a.lo)/(a.hi-a.lo)*a.w }

func (a axis) inside(v float64) bool { return v >= a.lo && v <= a.hi }

// tickLabel writes a tick of a scale in mm or degrees, with a true minus.
func tickLabel(v float64) string {
	s := strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	return strings.Replace(s, "-", "−", 1)
}
