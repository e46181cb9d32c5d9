package chart

import "math"

// nice gives the "nice" number (1, 2 or 5 times a power of ten) nearest to x,
// or not below it where up is set: Heckbert, Nice Numbers for Graph Labels,
// Graphics Gems (Glassner ed., 1990), 61-63, function nicenum.
func nice(x float64, up bool) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x)))
	f := x / p
	var n float64
	switch {
	case up && f <= 1, !up && f < 1.5:
		n = 1
	case up && f <= 2, !up && f < 3:
		n = 2
	case up && f <= 5, !up && f < 7:
		n = 5
	default:
		n = 10
	}
	return n * p
}

// Ticks gives loose labels for lo..hi: about n multiples of a nice step that
// enclose the range (Heckbert 1990, function loose_label).
func Ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) || n < 2 {
		return []float64{lo}
	}
	step := nice(nice(hi-lo, true)/float64(n-1), false)
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
