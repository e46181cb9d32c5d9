package meta

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats/internal/numeric"
)

const (
	// Converged, and the other ways the search for tau^2 ends.
	Converged     = "converged"
	mostScoring   = 1000  // Fisher scoring steps
	tau2Tolerance = 1e-12 // relative
)

// tau2 estimates the variance between studies and says how the search ended.
func tau2(y, v []float64, method MetaMethod) (float64, string, error) {
	k := float64(len(y))
	if len(y) < 2 {
		if method.known() {
			return 0, Converged, nil
		}
	}
	switch method {
	case EqualEffects:
		return 0, Converged, nil
	case DerSimonianLaird:
		var w, w2 float64
		for _, x := range v {
			w += 1 / x
			w2 += 1 / (x * x)
		}
		return max(0, (generalisedQ(y, v, 0)-(k-1))/(w-w2/w)), Converged, nil
	case PauleMandel:
		return solveQ(y, v, k-1), Converged, nil
	case RestrictedML, MaximumLikelihood:
		t, ended := scoreTau2(y, v, method == RestrictedML)
		return t, ended, nil
	}
	return 0, "", fmt.Errorf("stats: meta-analysis method %q is not known", string(method))
}

func (m MetaMethod) known() bool {
	switch m {
	case EqualEffects, DerSimonianLaird, PauleMandel, RestrictedML, MaximumLikelihood:
		return true
	}
	return false
}

// solveQ finds the tau2 at which the generalised Q, which falls with tau2, has
// the value wanted; 0 where it is already below (Paule & Mandel 1982; DerSimonian
// & Kacker 2007, Contemp Clin Trials 28:105-114, equation 10).
func solveQ(y, v []float64, want float64) float64 {
	if generalisedQ(y, v, 0) <= want {
		return 0
	}
	low, high := 0.0, 1.0
	for _, x := range v {
		high = max(high, x)
	}
	for generalisedQ(y, v, high) > want {
		low, high = high, 2*high
	}
	for range 200 {
		mid := low + (high-low)/2
		if generalisedQ(y, v, mid) > want {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// scoreTau2 maximises the (restricted) likelihood over tau2 >= 0 by Fisher
// scoring with step halving (Viechtbauer 2005, equations 12 to 14; Harville
// 1977, J Am Stat Assoc 72:320-338): with W = diag(1/(v+tau2)) and
// P = W - W 1 1' W / sum w,
//
//	ML:   step = (y'PPy - tr W) / tr W^2
//	REML: step = (y'PPy - tr P) / tr P^2
func scoreTau2(y, v []float64, restricted bool) (t float64, ended string) {
	t, _, _ = tau2(y, v, DerSimonianLaird)
	if t == 0 { // leave the boundary, which may be a local maximum only
		_, s := numeric.MeanVariance(y)
		t = s
	}
	like := LogLikelihoodTau2(y, v, t, restricted)
	for range mostScoring {
		step := scoreStep(y, v, t, restricted)
		next := max(0, t+step)
		nextLike := LogLikelihoodTau2(y, v, next, restricted)
		for halvings := 0; nextLike < like-1e-13*math.Abs(like) && halvings < 40; halvings++ {
			next = t + (next-t)/2
			nextLike = LogLikelihoodTau2(y, v, next, restricted)
		}
		moved := math.Abs(next - t)
		t, like = next, nextLike
		if moved <= tau2Tolerance*(t+1e-12*slices.Min(v)) {
			if zero := LogLikelihoodTau2(y, v, 0, restricted); zero > like {
				t = 0
			}
			return t, Converged
		}
	}
	return t, fmt.Sprintf("no convergence in %d steps", mostScoring)
}

func scoreStep(y, v []float64, t float64, restricted bool) float64 {
	mean, w, total := weightedMean(y, v, t)
	var ppy, w1, w2, w3 float64
	for i := range y {
		ppy += numeric.Square(w[i] * (y[i] - mean))
		w1 += w[i]
		w2 += w[i] * w[i]
		w3 += w[i] * w[i] * w[i]
	}
	if !restricted {
		return (ppy - w1) / w2
	}
	trace := w1 - w2/total
	trace2 := w2 - 2*w3/total + numeric.Square(w2/total)
	return (ppy - trace) / trace2
}

// LogLikelihoodTau2 is the profile log likelihood without its constant.
func LogLikelihoodTau2(y, v []float64, t float64, restricted bool) float64 {
	mean, w, total := weightedMean(y, v, t)
	var l float64
	for i := range y {
		l += math.Log(w[i])/2 - w[i]*numeric.Square(y[i]-mean)/2
	}
	if restricted {
		l -= math.Log(total) / 2
	}
	return l
}
