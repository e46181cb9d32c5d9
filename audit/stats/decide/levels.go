package decide

import (
	"fmt"
	"math"
)

// HolmWithPrimary is Holm's correction where one comparison was declared the
// primary one beforehand and takes the given share of alpha to itself (a half); the
// others are one Holm family at what is left. The split is Bonferroni's (Dmitrienko,
// D'Agostino & Huque 2013, Stat Med 32:1079-1111, section 3, from memory), so that
// the chance of any false call stays at alpha. The result is corrected P values to
// be set beside the whole alpha. Without a declaration (primary < 0) it is Holm. A
// primary that has no P takes nothing. An error where share is not between 0 and 1
// or there is no such comparison.
func HolmWithPrimary(p []float64, primary int, share float64) ([]float64, error) {
	if !(share > 0 && share < 1) {
		return nil, fmt.Errorf("stats: share of alpha %v: expected between 0 and 1", share)
	}
	if primary >= len(p) {
		return nil, fmt.Errorf("stats: primary comparison %d of %d", primary, len(p))
	}
	if primary < 0 || !(p[primary] >= 0 && p[primary] <= 1) {
		return Holm(p), nil
	}
	rest := append([]float64(nil), p...)
	rest[primary] = math.NaN()
	out := Holm(rest)
	for i, v := range out {
		out[i] = min(1, v/(1-share))
		if math.IsNaN(v) {
			out[i] = v
		}
	}
	out[primary] = min(1, p[primary]/share)
	return out, nil
}

// LookLevel is the alpha of each of so many looks declared beforehand, by
// Bonferroni's inequality: alpha/looks, whatever the looks share. An error where
// alpha is not between 0 and 1 or there is no look.
func LookLevel(alpha float64, looks int) (float64, error) {
	if !(alpha > 0 && alpha < 1) || looks < 1 {
		return math.NaN(), fmt.Errorf("stats: alpha %v over %d looks: expected between 0 and 1, and a look", alpha, looks)
	}
	return alpha / float64(looks), nil
}

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
