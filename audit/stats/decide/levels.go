package decide

import "math"

// HolmLevels gives for each comparison the level at which Holm's procedure would
// call it, the others standing as they are: alpha over those of the family that
// are not called among the others. With it, what could have been seen uses the level
// of the verdict. NaN where there is no P.
func HolmLevels(p []float64, alpha float64) []float64 {
	adjusted := Holm(p)
	n, called := calls(adjusted, alpha)
	return levels(adjusted, func(own bool) float64 { return alpha / float64(n-called+one(own)) }, alpha)
}

// BenjaminiHochbergLevels gives for each comparison the level at which the false
// discovery rate would call it, the others standing: alpha (called others + 1)/n.
func BenjaminiHochbergLevels(p []float64, alpha float64) []float64 {
	adjusted := BenjaminiHochberg(p)
	n, called := calls(adjusted, alpha)
	return levels(adjusted, func(own bool) float64 { return alpha * float64(called-one(own)+1) / float64(n) }, alpha)
}

func calls(adjusted []float64, alpha float64) (n, called int) {
	for _, v := range adjusted {
		if !math.IsNaN(v) {
			n++
			called += one(v < alpha)
		}
	}
	return n, called
}

func levels(adjusted []float64, level func(own bool) float64, alpha float64) []float64 {
	out := make([]float64, len(adjusted))
	for i, v := range adjusted {
		if out[i] = math.NaN(); !math.IsNaN(v) {
			out[i] = level(v < alpha)
		}
	}
	return out
}

func one(b bool) int {
	if b {
		return 1
	}
	return 0
}
