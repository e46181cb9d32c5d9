package mixed

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// mixedSums holds what the model needs of the data: for each group the weight of its
// rows and the cross-products of its indicator z with T (orthonormal fixed effects)
// and with the least-squares residuals. Rows are not visited again.
type mixedSums struct {
	o    *sandwich.Orthonormal
	like Likelihood
	n, m int       // rows and groups
	zz   []float64 // z'z of each group
	zu   []float64 // m of p+1: z'[T, e]

	logWeights  float64 // sum of log weights
	logDetX     float64 // log det X'WX
	evaluations int
}

func newMixedSums(o *sandwich.Orthonormal, clusters sandwich.Clustering, l Likelihood) *mixedSums {
	s := &mixedSums{o: o, like: l, n: o.N, m: clusters.Count()}
	p := o.P
	s.zz, s.zu = make([]float64, s.m), make([]float64, s.m*(p+1))
	row := make([]float64, p+1)
	for g := range s.m {
		for k := clusters.Start[g]; k < clusters.Start[g+1]; k++ {
			i := clusters.Row(k)
			root := o.WeightRoot(i)
			o.Row(i, row[:p])
			row[p] = root * o.Resid[i]
			s.zz[g] += root * root
			numeric.Axpy(root, row, s.zu[g*(p+1):(g+1)*(p+1)])
			s.logWeights += 2 * math.Log(root)
		}
	}
	for a := range p {
		s.logDetX -= 2 * math.Log(math.Abs(o.L[a*p+a]))
	}
	return s
}

// identified reports whether the random effects can be told from the
// residuals: more rows than clusters and more than one cluster.
func (s *mixedSums) identified() bool {
	return s.m > 1 && s.n > s.m && s.n > s.o.P+1 && s.o.RSS > 0
}

// exact reports residuals that are rounding alone, with rows left to show any.
func (s *mixedSums) exact() bool {
	return s.n > s.o.P+1 && math.Sqrt(s.o.RSS) <= stats.Rounding*s.o.Size()
}

// mixedPoint is the criterion at one ratio of the random variance to the residual
// one.
type mixedPoint struct {
	ratio    float64
	sigma2   float64
	gamma    []float64    // shift of the coefficients, in coordinates of T
	info     numeric.Chol // of T'R^-1T with V = sigma2 R
	rss      float64      // minimum of the weighted residual sum of squares
	logDet   float64      // log det R
	deviance float64      // -2 log likelihood (restricted for REML)
}

// ratios evaluates everything that depends only on the ratio: with
// R_g = I + ratio z z', R_g^-1 = I - z z' ratio/(1 + ratio z'z) (Woodbury), so sums
// by group suffice.
func (s *mixedSums) ratios(ratio float64) (pt mixedPoint, ok bool) {
	s.evaluations++
	p := s.o.P
	q := p + 1
	pt.ratio = ratio
	a := make([]float64, q*q) // [T e]'R^-1[T e]
	for i := range p {
		a[i*q+i] = 1
	}
	a[p*q+p] = s.o.RSS
	for g := range s.m {
		det := 1 + ratio*s.zz[g]
		pt.logDet += math.Log(det)
		numeric.AddOuter(-ratio/det, s.zu[g*q:(g+1)*q], a)
	}
	numeric.Mirror(q, a)
	t, b := make([]float64, p*p), make([]float64, p)
	for i := range p {
		copy(t[i*p:(i+1)*p], a[i*q:i*q+p])
		b[i] = a[i*q+p]
	}
	if pt.info, ok = numeric.Cholesky(p, t); !ok {
		return pt, false
	}
	pt.gamma = append([]float64(nil), b...)
	pt.info.Solve(pt.gamma)
	pt.rss = a[p*q+p] - numeric.Dot(pt.gamma, b)
	return pt, pt.rss > 0
}

// profiled fills the residual variance that is best for the ratio and the
// criterion there (Bates et al. 2015, equations 35 and 41).
func (s *mixedSums) profiled(ratio float64) (mixedPoint, bool) {
	pt, ok := s.ratios(ratio)
	if !ok {
		pt.deviance = math.Inf(1)
		return pt, false
	}
	pt.sigma2 = pt.rss / s.df()
	pt.deviance = s.df()*math.Log(2*math.Pi*pt.sigma2) + pt.rss/pt.sigma2 + pt.logDet - s.logWeights
	if s.like == REML {
		pt.deviance += pt.info.LogDet() + s.logDetX
	}
	return pt, true
}

// df is what the residual sum of squares is divided by.
func (s *mixedSums) df() float64 {
	if s.like == REML {
		return float64(s.n - s.o.P)
	}
	return float64(s.n)
}
