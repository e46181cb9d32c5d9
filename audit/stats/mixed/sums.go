package mixed

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// mixedSums holds what a mixed model needs of the data: for each group the
// cross-products of Z with itself, with T (orthonormal fixed effects) and with
// the least-squares residuals. Rows are not visited again.
type mixedSums struct {
	o     *sandwich.Orthonormal
	like  Likelihood
	n, r  int
	m     int
	scale float64   // the slope column is divided by it
	zz    []float64 // m of r x r
	zu    []float64 // m of r x (p+1): Z'[T, e]
	rows  []int

	logWeights  float64 // sum of log weights
	logDetX     float64 // log det X'WX
	evaluations int
}

func newMixedSums(o *sandwich.Orthonormal, clusters sandwich.Clustering, slope []float64, l Likelihood) *mixedSums {
	s := &mixedSums{o: o, like: l, n: o.N, r: 1, m: clusters.Count(), scale: 1}
	if slope != nil {
		s.r, s.scale = 2, 0
		for _, v := range slope {
			s.scale = math.Max(s.scale, math.Abs(v))
		}
		if s.scale == 0 {
			s.scale = 1
		}
	}
	p, r := o.P, s.r
	s.zz, s.zu = make([]float64, s.m*r*r), make([]float64, s.m*r*(p+1))
	s.rows = make([]int, s.m)
	row, z := make([]float64, p+1), make([]float64, r)
	for g := range s.m {
		s.rows[g] = clusters.Start[g+1] - clusters.Start[g]
		for k := clusters.Start[g]; k < clusters.Start[g+1]; k++ {
			i := clusters.Row(k)
			root := o.WeightRoot(i)
			o.Row(i, row[:p])
			row[p] = root * o.Resid[i]
			z[0] = root
			if r == 2 {
				z[1] = root * slope[i] / s.scale
			}
			for a, v := range z {
				numeric.Axpy(v, z, s.zz[(g*r+a)*r:(g*r+a+1)*r])
				numeric.Axpy(v, row, s.zu[(g*r+a)*(p+1):(g*r+a+1)*(p+1)])
			}
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

// natural gives the covariance of the random effects in the units of the data.
func (s *mixedSums) natural(d []float64) []float64 {
	if s.r == 1 {
		return []float64{d[0]}
	}
	c := s.scale
	return []float64{d[0], d[1] / c, d[2] / c, d[3] / (c * c)}
}

// mixedPoint is the criterion at one covariance of the random effects.
type mixedPoint struct {
	d        []float64 // r x r covariance of the random effects, scaled slope
	sigma2   float64
	gamma    []float64    // shift of the coefficients, in coordinates of T
	info     numeric.Chol // of T'R^-1T with V = sigma2 R
	rss      float64      // minimum of the weighted residual sum of squares
	logDet   float64      // log det R
	deviance float64      // -2 log likelihood (restricted for REML)
}

// ratios evaluates everything that depends only on the ratio L L' of the random
// effects' covariance to the residual variance; L is lower triangular.
//
// With R_g = I + Z_g LL' Z_g' and W_g = L (I + L'Z_g'Z_gL)^-1 L',
// R_g^-1 = I - Z_g W_g Z_g' (Woodbury), so sums of r-vectors suffice.
func (s *mixedSums) ratios(l []float64) (pt mixedPoint, ok bool) {
	s.evaluations++
	p, r := s.o.P, s.r
	q := p + 1
	a := make([]float64, q*q) // [T e]'R^-1[T e]
	for i := range p {
		a[i*q+i] = 1
	}
	a[p*q+p] = s.o.RSS
	half := make([]float64, r*q)
	var c [4]float64
	for g := range s.m {
		zz, zu := s.zz[g*r*r:(g+1)*r*r], s.zu[g*r*q:(g+1)*r*q]
		if r == 1 {
			det := 1 + l[0]*l[0]*zz[0]
			pt.logDet += math.Log(det)
			numeric.AddOuter(-l[0]*l[0]/det, zu, a)
			continue
		}
		pt.logDet += s.halfWoodbury(l, zz, zu, c[:], half)
		numeric.AddOuter(-1, half[:q], a)
		numeric.AddOuter(-1, half[q:], a)
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

// halfWoodbury writes C^-1 L'Z'[T e] into half, with CC' = I + L'Z'ZL, and
// returns log det of that; two random effects.
func (s *mixedSums) halfWoodbury(l, zz, zu, c, half []float64) float64 {
	q := s.o.P + 1
	// L = [l0 0; l1 l2]; M = L'Z'Z L.
	z00, z01, z11 := zz[0], zz[1], zz[3]
	u0, u1 := l[0]*z00+l[1]*z01, l[0]*z01+l[1]*z11
	c[0] = math.Sqrt(1 + l[0]*u0 + l[1]*u1)
	c[2] = l[2] * u1 / c[0]
	c[3] = math.Sqrt(math.Max(1+l[2]*l[2]*z11-c[2]*c[2], 1e-300))
	for k := range q {
		x := (l[0]*zu[k] + l[1]*zu[q+k]) / c[0]
		half[k] = x
		half[q+k] = (l[2]*zu[q+k] - c[2]*x) / c[3]
	}
	return 2 * math.Log(c[0]*c[3])
}

// profiled fills the residual variance that is best for the ratios and the
// criterion there (Bates et al. 2015, equations 35 and 41).
func (s *mixedSums) profiled(l []float64) (mixedPoint, bool) {
	pt, ok := s.ratios(l)
	if !ok {
		pt.deviance = math.Inf(1)
		return pt, false
	}
	s.fill(&pt, l, pt.rss/s.df())
	return pt, true
}

// df is what the residual sum of squares is divided by.
func (s *mixedSums) df() float64 {
	if s.like == REML {
		return float64(s.n - s.o.P)
	}
	return float64(s.n)
}

// fill completes a point for a given residual variance.
func (s *mixedSums) fill(pt *mixedPoint, l []float64, sigma2 float64) {
	pt.sigma2 = sigma2
	pt.d = outerLower(s.r, l)
	numeric.Scale(sigma2, pt.d)
	pt.deviance = s.df()*math.Log(2*math.Pi*sigma2) + pt.rss/sigma2 + pt.logDet - s.logWeights
	if s.like == REML {
		pt.deviance += pt.info.LogDet() + s.logDetX
	}
}

// outerLower is LL' for lower triangular L held as (l0) or (l0, l1, l2).
func outerLower(r int, l []float64) []float64 {
	if r == 1 {
		return []float64{l[0] * l[0]}
	}
	return []float64{l[0] * l[0], l[0] * l[1], l[0] * l[1], l[1]*l[1] + l[2]*l[2]}
}

// ratioFactor is the lower factor L of d/sigma2.
func ratioFactor(r int, d []float64, sigma2 float64) []float64 {
	a := math.Sqrt(math.Max(d[0]/sigma2, 0))
	if r == 1 {
		return []float64{a}
	}
	b := 0.0
	if a > 0 {
		b = d[1] / sigma2 / a
	}
	return []float64{a, b, math.Sqrt(math.Max(d[3]/sigma2-b*b, 0))}
}
