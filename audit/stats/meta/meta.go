package meta

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// MetaMethod is how the variance between studies is estimated.
type MetaMethod string

// The estimators of tau2, the variance between studies.
const (
	EqualEffects      MetaMethod = "equal effects"     // tau2 = 0: one common effect
	DerSimonianLaird  MetaMethod = "DerSimonian-Laird" // 1986, Control Clin Trials 7:177-188, equation 9
	RestrictedML      MetaMethod = "REML"              // Viechtbauer 2005, J Educ Behav Stat 30:261-293
	MaximumLikelihood MetaMethod = "ML"                // ibid.; biased towards 0
	PauleMandel       MetaMethod = "Paule-Mandel"      // 1982, J Res Natl Bur Stand 87:377-385
)

const fewStudies = 5 // below this tau2 is hardly known (IntHout et al. 2014, BMC Med Res Methodol 14:25)

// MetaResult pools study estimates.
type MetaResult struct {
	stats.Estimate
	Tau2             float64
	Q, QDF, QP       float64 // Cochran's heterogeneity test
	I2, H2           float64 // I2 in percent (Higgins & Thompson 2002, Stat Med 21:1539-1558)
	Tau2Low          float64 // Q-profile interval (Viechtbauer 2007, Stat Med 26:37-52)
	Tau2High         float64
	PredictionLow    float64 // of a new study: t on k-2 (Higgins, Thompson & Spiegelhalter 2009, equation 12)
	PredictionHigh   float64
	Weights          []float64 // shares of the pooled estimate, adding to 1
	Ended            string    // how the search for tau2 ended
	HartungKnapp     bool
	VarianceModifier float64 // Hartung-Knapp factor q; 1 without
}

// Meta pools estimates y with sampling variances v. hartungKnapp replaces the
// normal interval by t on k-1 with the weighted residual variance (Hartung &
// Knapp 2001, Stat Med 20:3875-3889, equation 3); it is meant for random
// effects. Two practices or more make a meta-analysis; one gives a warning.
func Meta(y, v []float64, method MetaMethod, hartungKnapp bool, level float64) (MetaResult, error) {
	if err := bycase.CheckPairs(y, v, nil, level); err != nil {
		return MetaResult{}, err
	}
	for i, x := range v {
		if !(x > 0) {
			return MetaResult{}, fmt.Errorf("stats: variance %d is %v: expected above 0", i, x)
		}
	}
	k := len(y)
	nan := math.NaN()
	r := MetaResult{Estimate: stats.Estimate{
		Value: nan, DF: math.Inf(1), Level: level, N: k, Clusters: k, Method: "meta-analysis, " + string(method),
	}, HartungKnapp: hartungKnapp, VarianceModifier: 1, PredictionLow: nan, PredictionHigh: nan, Tau2Low: nan, Tau2High: nan}
	if k == 0 {
		r.NotEstimable(stats.NoData)
		return r, nil
	}
	var err error
	if r.Tau2, r.Ended, err = tau2(y, v, method); err != nil {
		return MetaResult{}, err
	}
	r.pool(y, v)
	r.heterogeneity(y, v)
	r.warnings()
	return r, nil
}

// pool fills estimate, weights, interval and prediction interval.
func (r *MetaResult) pool(y, v []float64) {
	mean, w, total := weightedMean(y, v, r.Tau2)
	k := float64(len(y))
	r.Value, r.SE = mean, math.Sqrt(1/total)
	r.Weights = w
	if r.HartungKnapp {
		var q float64
		for i := range y {
			q += w[i] * numeric.Square(y[i]-mean)
		}
		r.VarianceModifier = q / (k - 1)
		r.SE *= math.Sqrt(r.VarianceModifier)
		r.DF = k - 1
		r.Method += ", Hartung-Knapp"
	}
	r.SetLimits()
	r.P = dist.TTwoSided(r.Value/r.SE, r.DF)
	for i := range w {
		w[i] /= total
	}
	if k > 2 {
		h := dist.TQuantile(0.5+r.Level/2, k-2) * math.Sqrt(r.Tau2+r.SE*r.SE)
		r.PredictionLow, r.PredictionHigh = r.Value-h, r.Value+h
	}
}

// weightedMean is the mean with weights 1/(v + tau2), and the weights.
func weightedMean(y, v []float64, tau2 float64) (mean float64, w []float64, total float64) {
	w = make([]float64, len(y))
	for i := range y {
		w[i] = 1 / (v[i] + tau2)
		total += w[i]
		mean += w[i] * y[i]
	}
	return mean / total, w, total
}

// generalisedQ is sum w (y - mean)^2 with weights 1/(v + tau2).
func generalisedQ(y, v []float64, tau2 float64) float64 {
	mean, w, _ := weightedMean(y, v, tau2)
	var q float64
	for i := range y {
		q += w[i] * numeric.Square(y[i]-mean)
	}
	return q
}

func (r *MetaResult) heterogeneity(y, v []float64) {
	k := float64(len(y))
	r.Q, r.QDF = generalisedQ(y, v, 0), k-1
	r.QP = dist.ChiSquareTail(r.Q, r.QDF)
	var w, w2 float64
	for _, x := range v {
		w += 1 / x
		w2 += 1 / (x * x)
	}
	typical := (k - 1) * w / (w*w - w2) // Higgins & Thompson 2002, equation 9
	r.H2 = (r.Tau2 + typical) / typical
	r.I2 = 100 * r.Tau2 / (r.Tau2 + typical)
	if r.Method == "meta-analysis, "+string(EqualEffects) {
		r.H2 = r.Q / r.QDF
		r.I2 = 100 * max(0, 1-r.QDF/r.Q)
	}
	if k < 2 {
		r.H2, r.I2 = math.NaN(), math.NaN()
		return
	}
	tail := (1 - r.Level) / 2
	r.Tau2Low = solveQ(y, v, dist.ChiSquareQuantile(1-tail, k-1))
	r.Tau2High = solveQ(y, v, dist.ChiSquareQuantile(tail, k-1))
}

func (r *MetaResult) warnings() {
	switch {
	case r.N < 2:
		r.Warn("one-study", "one study: no spread between studies can be seen", "add studies")
	case r.N < fewStudies && !r.HartungKnapp:
		r.Warn("few-studies", fmt.Sprintf("%d studies (fewer than %d): the spread between them is hardly known", r.N, fewStudies), "use the Hartung-Knapp interval and read the prediction interval")
	case r.N < fewStudies:
		r.Warn("few-studies", fmt.Sprintf("%d studies (fewer than %d): the spread between them is hardly known", r.N, fewStudies), "read the prediction interval")
	}
	if r.HartungKnapp && r.VarianceModifier < 1 {
		r.Warn("narrow-hartung-knapp", "the Hartung-Knapp error is smaller than the usual one, since the studies agree better than chance",
			"take the wider of the two intervals (Rover, Knapp & Friede 2015, BMC Med Res Methodol 15:99)")
	}
	if r.Ended != "" && r.Ended != Converged {
		r.Warn("not-converged", "the search for the variance between studies ended: "+r.Ended, "use Paule-Mandel or DerSimonian-Laird")
	}
}
