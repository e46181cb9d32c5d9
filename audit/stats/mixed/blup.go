package mixed

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// RandomEffect is the best linear unbiased prediction of the random effects of
// one cluster: the intercept, then the slope where the model has one.
type RandomEffect struct {
	Cluster int // id as given
	Rows    int
	Value   []float64
	// SE is the standard error of prediction, sqrt var(predicted - true), with
	// the uncertainty of the fixed effects (Henderson 1975, Biometrics
	// 31:423-447; Robinson 1991, Statistical Science 6:15-32, section 2).
	SE []float64
	// ConditionalSD takes the fixed effects as known (lme4's condVar).
	ConditionalSD []float64
}

// blupTerms are of one group: k1 = Z'V^-1[T e], dk = D k1, w = s2 W.
type blupTerms struct {
	u  []float64 // predicted effects
	w  []float64 // r x r covariance given the fixed effects
	dk []float64 // r x (p+1)
}

// blup works in the units of the scaled slope.
func (f *MixedFit) blup(g int) blupTerms {
	s := f.s
	r, u := s.r, s.o.P+1
	t := newGroupTerms(r, u)
	t.fill(r, u, 1/f.at.sigma2, ratioFactor(r, f.at.d, f.at.sigma2), s.zz[g*r*r:(g+1)*r*r], s.zu[g*r*u:(g+1)*r*u])
	b := blupTerms{u: make([]float64, r), w: t.w, dk: make([]float64, r*u)}
	numeric.Scale(f.at.sigma2, b.w)
	transProduct(r, u, f.at.d, t.k1, b.dk)
	for i := range r {
		row := b.dk[i*u : (i+1)*u]
		b.u[i] = row[u-1] - numeric.Dot(row[:u-1], f.at.gamma)
	}
	return b
}

// RandomEffects predicts the effects of every cluster, in the order of ids.
// Empty where the fit is not usable.
func (f *MixedFit) RandomEffects() []RandomEffect {
	if !f.Status.Usable() {
		return nil
	}
	out := make([]RandomEffect, f.Clusters)
	u := f.s.o.P + 1
	for g := range out {
		b := f.blup(g)
		out[g] = RandomEffect{Cluster: f.ids[g], Rows: f.s.rows[g]}
		for i, v := range b.u {
			unit := 1.0
			if i == 1 {
				unit = f.s.scale
			}
			cond := b.w[i*f.s.r+i]
			full := cond + sandwich.Quadratic(f.cov(), b.dk[i*u:(i+1)*u-1])
			out[g].Value = append(out[g].Value, v/unit)
			out[g].ConditionalSD = append(out[g].ConditionalSD, math.Sqrt(cond)/unit)
			out[g].SE = append(out[g].SE, math.Sqrt(full)/unit)
		}
	}
	return out
}

// cov is the covariance of the fixed effects in coordinates of T.
func (f *MixedFit) cov() []float64 {
	if f.phi == nil {
		f.phi = f.at.info.Inverse()
		numeric.Scale(f.at.sigma2, f.phi)
	}
	return f.phi
}

// ClusterMean predicts the mean of one cluster at fixed-effect row x and
// random slope value z (ignored without a slope): x'b + u, drawn towards the
// fixed effects by as much as the cluster is small. The standard error is of
// predicted minus true mean, with the uncertainty of b and its covariance with
// u; the variance components are taken as known, so limits are normal (Henderson
// 1975, Biometrics 31:423-447). P is not given. Panics where len(x) is not the
// number of columns or level is outside (0, 1); an unknown cluster is an error.
func (f *MixedFit) ClusterMean(cluster int, x []float64, z, level float64) (stats.Estimate, error) {
	g, ok := f.group(cluster)
	if !ok {
		return stats.Estimate{}, fmt.Errorf("stats: no cluster %d in the fit", cluster)
	}
	e, l, ok := f.start(x, level)
	e.Method = fmt.Sprintf("best linear unbiased prediction, mixed model, %s, variance components taken as known, normal", f.Likelihood)
	if !ok {
		return e, nil
	}
	b := f.blup(g)
	zs := []float64{1, z / f.s.scale}[:f.s.r]
	u := f.s.o.P + 1
	variance := sandwich.Quadratic(b.w, zs)
	for i, v := range zs {
		e.Value += v * b.u[i]
		numeric.Axpy(-v, b.dk[i*u:(i+1)*u-1], l) // x - X'V^-1 Z D z, in coordinates of T
	}
	e.N = f.s.rows[g]
	e.SE, e.DF, e.P = math.Sqrt(variance+sandwich.Quadratic(f.cov(), l)), math.Inf(1), math.NaN()
	e.SetLimits()
	return e, nil
}

func (f *MixedFit) group(cluster int) (int, bool) {
	if f.index == nil {
		f.index = make(map[int]int, len(f.ids))
		for g, id := range f.ids {
			f.index[id] = g
		}
	}
	g, ok := f.index[cluster]
	return g, ok
}
