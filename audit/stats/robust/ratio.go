package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/round"
)

// fiellerConcern is the g above which a linearised ratio interval is rough; a
// convention, printed in the warning.
const fiellerConcern = 0.2

// ratioSums are the cluster sums every variance of a ratio of sums is made of.
// With u = sum num - R * sum den of a cluster, X = its sum of den and
// h = X / total den (its leverage).
type ratioSums struct {
	ratio, total   float64 // R and total den
	rows, clusters int
	u2             float64 // sum u^2
	u2cr2, u4cr2   float64 // sum u^2 / (1-h) and sum of its squares
	x2             float64 // sum X^2
	h2, q, q2      float64 // sum h^2, sum q and sum q^2 with q = h^2/(1-h)
	maxH, minH     float64
}

func sumRatio(num, den []float64, cluster []int) ratioSums {
	s := ratioSums{rows: len(num), minH: math.Inf(1), maxH: math.Inf(-1)}
	var a float64
	for i, v := range num {
		a += v
		s.total += bycase.At(den, i)
	}
	s.ratio = a / s.total
	if cluster == nil { // every row is a cluster, and Visit would go through a function value for each
		for i, y := range num {
			s.add(y, bycase.At(den, i))
		}
		return s
	}
	bycase.Visit(cluster, num, den, func(y, x float64, _ int) { s.add(y, x) })
	return s
}

// add takes the sums of a cluster.
func (s *ratioSums) add(y, x float64) {
	u, h := y-s.ratio*x, x/s.total
	q := h * h / (1 - h)
	s.clusters++
	s.u2 += u * u
	v := u * u / (1 - h)
	s.u2cr2 += v
	s.u4cr2 += v * v
	s.x2 += x * x
	s.h2 += h * h
	s.q += q
	s.q2 += q * q
	s.maxH, s.minH = max(s.maxH, h), min(s.minH, h)
}

// estimate fills what all variance methods share; ok is false where no
// variance can be given.
func (s ratioSums) estimate(level float64, method string) (e stats.Estimate, ok bool) {
	e = stats.Estimate{Value: s.ratio, Level: level, P: math.NaN(), N: s.rows, Clusters: s.clusters, Method: method}
	switch {
	case s.rows == 0:
		e.Value = math.NaN()
		e.NotEstimable(stats.NoData)
	case s.total == 0:
		e.Value = math.NaN()
		e.NotEstimable(stats.Warning{ID: "zero-denominator", Text: "the denominators sum to zero", Remedy: "leave out amounts too small to form a ratio"})
	case s.clusters < 2:
		e.NotEstimable(stats.OneCluster)
	case s.u2 <= stats.Rounding*stats.Rounding*s.ratio*s.ratio*s.x2:
		e.NotEstimable(stats.NoSpread)
	default:
		return e, true
	}
	return e, false
}

// finish sets the t limits and the warnings of a ratio.
func (s ratioSums) finish(e *stats.Estimate) {
	e.SetLimits()
	e.WarnFewClusters()
	e.WarnFewDF()
	if s.maxH > stats.DominantShare {
		e.Warn("one-case-dominates", fmt.Sprintf("one case carries %s %% of the denominator", round.Text(100*s.maxH, 0)),
			"show that case apart, or add cases")
	}
}

// warnDenominator says where the denominator is so uncertain that only Fieller's
// set is honest. With CR2 the denominators are taken as given: nothing about them is
// uncertain.
func (s ratioSums) warnDenominator(e *stats.Estimate) {
	if g := s.g(e.Level); g > fiellerConcern {
		e.Warn("uncertain-denominator", fmt.Sprintf("the denominator itself is uncertain (Fieller's g = %s, above %s)", round.Text(g, 2), round.Text(fiellerConcern, 1)),
			"read Fieller's interval, and \"not estimable\" where that is unbounded")
	}
}

// g is Fieller's g of the denominator total: t^2 var(total)/total^2.
func (s ratioSums) g(level float64) float64 {
	m := float64(s.clusters)
	t := dist.TQuantile(0.5+level/2, m-1)
	return t * t * m / (m - 1) * (s.x2 - s.total*s.total/m) / (s.total * s.total)
}

// RatioOfSumsLinearised estimates sum(num)/sum(den) with the variance between
// clusters by linearisation,
//
//	SE = sqrt(m/(m-1) sum u^2) / sum den,  u = sum num - R sum den of a cluster,
//
// on t with m-1 degrees of freedom (Cochran 1977, Sampling Techniques, 3rd
// ed., equations 6.9 and 6.13 with clusters as units). cluster nil: every row
// is its own cluster. One pass and no allocation where ids come sorted.
func RatioOfSumsLinearised(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return stats.Estimate{}, err
	}
	s := sumRatio(num, den, cluster)
	e, ok := s.estimate(level, "ratio of sums, linearised, cases as units, t on cases - 1 df")
	if !ok {
		return e, nil
	}
	m := float64(s.clusters)
	e.SE, e.DF = math.Sqrt(m/(m-1)*s.u2)/math.Abs(s.total), m-1
	s.finish(&e)
	s.warnDenominator(&e)
	return e, nil
}

// satterthwaite is Bell & McCaffrey 2002, equation 4.2: (trace)^2 / trace of
// square, with P_cc = h_c and P_cd = -h_c h_d / sqrt((1-h_c)(1-h_d)), so
// trace P = 1.
func (s ratioSums) satterthwaite() float64 { return 1 / (s.h2 + s.q*s.q - s.q2) }

// cr2 is the estimate with the CR2 variance on the given degrees of freedom.
func (s ratioSums) cr2(level float64, method string, df func(ratioSums) float64) stats.Estimate {
	e, ok := s.estimate(level, method)
	if !ok {
		return e
	}
	if !(s.maxH < 1 && s.minH >= 0) {
		e.NotEstimable(stats.Warning{ID: "one-case-dominates", Text: "one case carries the whole denominator", Remedy: "add cases"})
		return e
	}
	e.SE = math.Sqrt(s.u2cr2) / math.Abs(s.total)
	e.DF = df(s)
	s.finish(&e)
	return e
}

// ClusteredMean estimates the mean of x with the CR2 variance and
// Satterthwaite degrees of freedom of the intercept-only model (Bell &
// McCaffrey 2002). One row in every cluster gives the textbook t interval.
func ClusteredMean(x []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := stats.CheckLevel(level); err != nil {
		return stats.Estimate{}, err
	}
	if err := bycase.CheckClustered(len(x), cluster, x); err != nil {
		return stats.Estimate{}, err
	}
	return sumRatio(x, nil, cluster).cr2(level, meanMethod, ratioSums.satterthwaite), nil
}

// ClusteredMeanOfSums is ClusteredMean of values that were summed case by case: sums of
// the values, and their numbers, of each case.
func ClusteredMeanOfSums(sums, numbers []float64, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(sums, numbers, nil, level); err != nil {
		return stats.Estimate{}, err
	}
	s := sumRatio(sums, numbers, nil)
	s.rows = int(s.total)
	return s.cr2(level, meanMethod, ratioSums.satterthwaite), nil
}

const meanMethod = "mean, CR2 variance, cases as units, t on Satterthwaite df"
