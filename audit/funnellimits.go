package audit

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// The tails of the two funnels: 95 % and 99.8 %, two-sided.
var funnelTails = [4]float64{0.001, 0.025, 0.975, 0.999}

// binomialLimit is the exact binomial limit of a share at size n, interpolated
// and clipped to 0..1: with r the p-quantile of the count,
//
//	y = (r - a) / n,  a = (F(r) - p) / f(r)
//
// (Spiegelhalter 2005, Stat Med 24:1185-1202, appendix A.1.1).
func binomialLimit(share float64, n int, p float64) float64 {
	b := distuv.Binomial{N: float64(n), P: share}
	r, below := 0, 0.0
	for f := b.Prob(0); below+f < p && r < n; f = b.Prob(float64(r)) {
		below += f
		r++
	}
	a := (below + b.Prob(float64(r)) - p) / b.Prob(float64(r))
	return math.Min(1, math.Max(0, (float64(r)-a)/float64(n)))
}

// winsorised is the share of units pulled in at either end before
// overdispersion is estimated (Spiegelhalter 2005, section 3.2).
const winsorised = 0.1

// place sets each unit at its effective size, finds the overdispersion between
// units and draws the limits.
func (f *Funnel) place(effect float64) {
	target := float64(f.Target)
	z := make([]float64, len(f.Points))
	for i := range f.Points {
		pt := &f.Points[i]
		n := float64(pt.Total) / effect
		pt.Effective = Number(n)
		z[i] = (float64(pt.Value) - target) / math.Sqrt(target*(1-target)/n)
	}
	phi, inflated := overdispersion(z)
	f.Phi, f.Inflated = Number(phi), inflated
	f.Method = "exact binomial limits (95 % and 99.8 %), interpolated"
	if effect > 1 {
		f.Method += ", at movements / design effect of clustering by case"
	}
	shrink := 1.0
	if inflated {
		shrink = phi
		f.Method += ", widened by the overdispersion between units"
	}
	largest := 0.0
	for i := range f.Points {
		pt := &f.Points[i]
		l := f.limits(float64(pt.Effective), shrink)
		pt.Beyond95 = pt.Value < l.Low95 || pt.Value > l.High95
		pt.Beyond998 = pt.Value < l.Low998 || pt.Value > l.High998
		largest = max(largest, float64(pt.Effective))
	}
	const steps = 40
	for i := 1; i <= steps; i++ {
		f.Limits = append(f.Limits, f.limits(1.1*largest*float64(i)/steps, shrink))
	}
}

// limits at one effective size. Overdispersion by a factor shrinks the size by
// that factor, which widens the variance by it and keeps the limits exact.
func (f *Funnel) limits(size, shrink float64) FunnelLimit {
	n := max(1, int(math.Round(size/shrink)))
	var at [4]Number
	for i, p := range funnelTails {
		at[i] = Number(binomialLimit(float64(f.Target), n, p))
	}
	return FunnelLimit{Size: Number(size), Low998: at[0], Low95: at[1], High95: at[2], High998: at[3]}
}

// overdispersion is phi = mean of the winsorised z squared; the limits are
// widened only where units x phi is beyond the 95 % point of its chi-square
// (Spiegelhalter 2005, section 3.2).
func overdispersion(z []float64) (phi float64, inflated bool) {
	w := winsorise(z)
	for _, v := range w {
		phi += v * v / float64(len(w))
	}
	units := float64(len(z))
	chi := distuv.ChiSquared{K: units}
	return phi, phi > 1 && units*phi > chi.Quantile(0.95)
}

// winsorise pulls the outermost tenth of the values at either end to the
// nearest value within.
func winsorise(z []float64) []float64 {
	sorted := sortedCopy(z)
	cut := int(winsorised * float64(len(z)))
	low, high := sorted[cut], sorted[len(z)-1-cut]
	out := make([]float64, len(z))
	for i, v := range z {
		out[i] = math.Min(high, math.Max(low, v))
	}
	return out
}

// read puts the funnel in words, without naming anyone.
func (f *Funnel) read(minCases int) {
	var n95, n998 int
	for _, pt := range f.Points {
		n95 += oneIf(pt.Beyond95 && !pt.Beyond998)
		n998 += oneIf(pt.Beyond998)
	}
	all := count(len(f.Points), f.Units)
	var parts []string
	if n998 > 0 {
		parts = append(parts, fmt.Sprintf("%d beyond the 99.8 %% limits", n998))
	}
	if n95 > 0 {
		parts = append(parts, fmt.Sprintf("%d between the 95 %% and the 99.8 %% limits", n95))
	}
	switch {
	case len(parts) == 0:
		f.Reading = fmt.Sprintf("Of %s with at least %d cases, none lies outside the 95 %% limits: the differences are within chance.", all, minCases)
	default:
		f.Reading = fmt.Sprintf("Of %s with at least %d cases, %s. About 1 in 20 lies outside the 95 %% limits by chance alone; "+
			"look at data and case mix before practice. The plot is not adjusted for case mix and ranks no one.", all, minCases, strings.Join(parts, " and "))
	}
}
