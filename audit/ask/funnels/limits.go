package funnels

import (
	"fmt"
	"math"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/stats/control"
)

// The tails of the two funnels: 95 % and 99.8 %, two-sided.
var funnelTails = [4]float64{0.001, 0.025, 0.975, 0.999}

// overdispersedP: the limits are widened where the spread between units would
// be met less often than this by chance (Spiegelhalter 2005, Stat Med
// 24:1185-1202, section 5.1).
const overdispersedP = 0.05

// Place sets each unit at its effective size, finds the overdispersion between
// units and draws the limits.
func Place(f *results.Funnel, effect float64) {
	target := float64(f.Target)
	shares, variances := make([]float64, len(f.Points)), make([]float64, len(f.Points))
	for i := range f.Points {
		pt := &f.Points[i]
		n := float64(pt.Total) / effect
		pt.Effective = results.Number(n)
		shares[i], variances[i] = float64(pt.Value), target*(1-target)/n
	}
	phi, inflated := 1.0, false
	if o, err := control.Overdispersion(shares, variances, target, control.DefaultWinsorise); err == nil {
		phi, inflated = o.Phi, o.Phi > 1 && o.P < overdispersedP
		f.Warnings = append(f.Warnings, measure.Warnings(o.Warnings)...)
	}
	f.Phi, f.Inflated = results.Number(phi), inflated
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
		l := LimitAt(f, float64(pt.Effective), shrink)
		pt.Beyond95 = pt.Value < l.Low95 || pt.Value > l.High95
		pt.Beyond998 = pt.Value < l.Low998 || pt.Value > l.High998
		largest = max(largest, float64(pt.Effective))
	}
	const steps = 80
	for i := 1; i <= steps; i++ {
		f.Limits = append(f.Limits, LimitAt(f, 1.1*largest*float64(i)/steps, shrink))
	}
}

// LimitAt at one effective size. Overdispersion by a factor shrinks the size by
// that factor, which widens the variance by it and keeps the limits exact.
func LimitAt(f *results.Funnel, size, shrink float64) results.FunnelLimit {
	n := max(1, int(math.Round(size/shrink)))
	nan := results.NotEstimable
	l, err := control.FunnelBinomial(float64(f.Target), n, funnelTails[:]...)
	if err != nil {
		return results.FunnelLimit{Size: results.Number(size), Low998: nan, Low95: nan, High95: nan, High998: nan}
	}
	return results.FunnelLimit{
		Size: results.Number(size), Low998: results.Number(l.Limits[0]), Low95: results.Number(l.Limits[1]), High95: results.Number(l.Limits[2]), High998: results.Number(l.Limits[3]),
	}
}

// fewUnits: below ten a funnel is a list of a few people or places (our convention).
const fewUnits = 10

// Read puts the funnel in words, without naming anyone.
func Read(f *results.Funnel, minCases int) {
	var n95, n998 int
	for _, pt := range f.Points {
		n95 += measure.OneIf(pt.Beyond95 && !pt.Beyond998)
		n998 += measure.OneIf(pt.Beyond998)
	}
	all := wording.Of(len(f.Points), f.Units)
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
	if len(f.Points) < fewUnits {
		f.Reading += fmt.Sprintf(" %s prove nothing about %ss: what differs between so few may be their patients.", wording.Capital(all), f.Units)
	}
}
