package control

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/round"
)

// DefaultWinsorise is the share of z-scores drawn in at each end before
// overdispersion is judged (Spiegelhalter 2005, section 5.1).
const DefaultWinsorise = 0.1

// OverdispersionResult says whether units differ more than chance.
type OverdispersionResult struct {
	Units    int
	Phi      float64 // mean z^2 of winsorised z; 1 expected
	P        float64 // of Units*Phi against chi-square on Units-1 df
	Tau2     float64 // additive variance between units, 0 where Phi is not above 1
	Z        []float64
	Method   string
	Warnings []stats.Warning
}

// Overdispersion judges estimates y with variances v against a target
// (Spiegelhalter 2005, Stat Med 24:1185-1202, sections 5.1 and 5.2): z-scores
// are winsorised (share in each tail, by type 7 quantiles), phi = (1/I) sum
// z^2, and tau2 = (I phi - (I-1))/(sum w - sum w^2/sum w), w = 1/v, not below 0.
func Overdispersion(y, v []float64, target, winsorise float64) (OverdispersionResult, error) {
	if err := bycase.CheckPairs(y, v, nil, 0.95); err != nil {
		return OverdispersionResult{}, err
	}
	if !(winsorise >= 0 && winsorise < 0.5) || math.IsNaN(target) {
		return OverdispersionResult{}, fmt.Errorf("stats: winsorised share %v: expected 0 to below 0.5", winsorise)
	}
	units := len(y)
	r := OverdispersionResult{Units: units, Method: fmt.Sprintf("overdispersion, z winsorised by %s %% at each end", round.Text(100*winsorise, 0))}
	z := make([]float64, units)
	var w, w2 float64
	for i := range y {
		if !(v[i] > 0) {
			return OverdispersionResult{}, fmt.Errorf("stats: variance %d is %v: expected above 0", i, v[i])
		}
		z[i] = (y[i] - target) / math.Sqrt(v[i])
		w += 1 / v[i]
		w2 += 1 / (v[i] * v[i])
	}
	r.Z = slices.Clone(z)
	if units < 2 {
		r.Phi, r.P, r.Tau2 = math.NaN(), math.NaN(), math.NaN()
		r.Warnings = append(r.Warnings, stats.NoData)
		return r, nil
	}
	ends := stats.Quantiles(z, winsorise, 1-winsorise)
	for _, x := range z {
		r.Phi += numeric.Square(max(ends[0], min(ends[1], x))) / float64(units)
	}
	i := float64(units)
	r.P = dist.ChiSquareTail(i*r.Phi, i-1)
	r.Tau2 = max(0, (i*r.Phi-(i-1))/(w-w2/w))
	if units < stats.FewClusters {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID: "few-units", Text: fmt.Sprintf("%d units (fewer than %d): overdispersion is roughly known", units, stats.FewClusters), Remedy: "compare more units",
		})
	}
	return r, nil
}
