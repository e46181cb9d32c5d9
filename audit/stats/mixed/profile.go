package mixed

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// Component names a variance component of a mixed model.
type Component int

// The components. Spread is given as standard deviation.
const (
	ResidualSD Component = iota
	InterceptSD
	SlopeSD
	InterceptSlopeCorrelation
)

// String names the component.
func (c Component) String() string {
	switch c {
	case ResidualSD:
		return "residual SD"
	case InterceptSD:
		return "SD between clusters"
	case SlopeSD:
		return "SD of slopes between clusters"
	case InterceptSlopeCorrelation:
		return "correlation of intercept and slope"
	}
	return fmt.Sprintf("Component(%d)", int(c))
}

// ComponentInterval gives a variance component with its profile-likelihood
// interval: the values at which the criterion of the fit, maximised over all
// else, falls short of its maximum by no more than half the chi-square
// quantile on 1 degree of freedom (Venzon & Moolgavkar 1988, Applied Statistics
// 37:87-94, equation 2). A limit at the edge of the parameter space is 0 (or 1
// in absolute value for the correlation). Profiling a large fit costs some
// hundred evaluations of the criterion.
func (f *MixedFit) ComponentInterval(c Component, level float64) (stats.Estimate, error) {
	if err := stats.CheckLevel(level); err != nil {
		return stats.Estimate{}, err
	}
	if c < ResidualSD || c > InterceptSlopeCorrelation || (c > InterceptSD && f.s.r == 1) {
		return stats.Estimate{}, fmt.Errorf("stats: the model has no component %v", c)
	}
	e := stats.Estimate{Level: level, N: f.N, Clusters: f.Clusters, Method: fmt.Sprintf("mixed model, profile likelihood, %s", f.Likelihood)}
	if !f.Status.Usable() {
		e.Value = math.NaN()
		e.NotEstimable(f.Warnings[len(f.Warnings)-1])
		return e, nil
	}
	e.SE, e.DF, e.P = math.NaN(), math.Inf(1), math.NaN()
	pr := newProfile(f, c)
	e.Value = pr.natural(pr.value)
	cut := dist.ChiSquareQuantile(level, 1)
	e.Low = pr.natural(pr.limit(cut, -1))
	e.High = pr.natural(pr.limit(cut, 1))
	e.WarnFewClusters()
	return e, nil
}

// profile walks one component; the other parameters follow. Coordinates:
// log residual SD, SD of intercept, SD of slope, atanh of the correlation.
type profile struct {
	f     *MixedFit
	which Component
	at    []float64 // coordinates at the maximum
	last  []float64 // coordinates of the latest inner maximum
	value float64
}

func newProfile(f *MixedFit, c Component) *profile {
	d := f.at.d
	at := []float64{math.Log(f.at.sigma2) / 2, math.Sqrt(d[0])}
	if f.s.r == 2 {
		sd := math.Sqrt(d[3])
		rho := 0.0
		if at[1] > 0 && sd > 0 {
			rho = math.Max(-maxCorrelation, math.Min(maxCorrelation, d[1]/(at[1]*sd)))
		}
		at = append(at, sd, math.Atanh(rho))
	}
	return &profile{f: f, which: c, at: at, last: append([]float64(nil), at...), value: at[c]}
}

// maxCorrelation stands for one.
const maxCorrelation = 1 - 1e-9

func (pr *profile) natural(v float64) float64 {
	switch pr.which {
	case ResidualSD:
		return math.Exp(v)
	case SlopeSD:
		return v / pr.f.s.scale
	case InterceptSlopeCorrelation:
		if r := math.Tanh(v); math.Abs(r) < maxCorrelation {
			return r
		}
		return math.Copysign(1, v)
	}
	return v
}

// deviance at full coordinates.
func (pr *profile) deviance(x []float64) float64 {
	d := []float64{x[1] * x[1]}
	if pr.f.s.r == 2 {
		cov := x[1] * x[2] * math.Tanh(x[3])
		d = []float64{d[0], cov, cov, x[2] * x[2]}
	}
	pt, ok := pr.f.s.at(d, math.Exp(2*x[0]))
	if !ok {
		return math.Inf(1)
	}
	return pt.deviance
}

// inner is the deviance at value v of the component, best over the others.
func (pr *profile) inner(v float64) float64 {
	x := append([]float64(nil), pr.last...)
	x[pr.which] = v
	if pr.f.s.r == 1 {
		other := 1 - pr.which
		centre, width := x[other], 1.0
		if other == InterceptSD {
			width = math.Max(centre, math.Exp(x[0]))
		}
		best, dev := numeric.Minimise(func(y float64) float64 {
			x[other] = y
			return pr.deviance(x)
		}, centre-width, centre+width, 1e-9)
		pr.last[other], pr.last[pr.which] = best, v
		if other == InterceptSD {
			pr.last[other] = math.Abs(best)
		}
		return dev
	}
	free := make([]float64, 0, 3)
	for i, y := range x {
		if i != int(pr.which) {
			free = append(free, y)
		}
	}
	build := func(y []float64) []float64 {
		full := append([]float64(nil), y[:pr.which]...)
		return append(append(full, v), y[pr.which:]...)
	}
	y, dev := numeric.Simplex(func(y []float64) float64 { return pr.deviance(build(y)) }, free)
	pr.last = build(y)
	return dev
}

// limit solves deviance - minimum = cut on one side by the false-position
// method (Illinois rule) on the root of the deviance, which is close to a
// straight line.
func (pr *profile) limit(cut float64, side float64) float64 {
	copy(pr.last, pr.at)
	least := pr.f.at.deviance
	goal := math.Sqrt(cut)
	excess := func(v float64) float64 { return math.Sqrt(math.Max(pr.inner(v)-least, 0)) - goal }
	near, fNear := pr.value, -goal
	far, fFar, found := pr.bracket(excess, side)
	if !found {
		return far
	}
	for range 60 {
		v := far - fFar*(far-near)/(fFar-fNear)
		fv := excess(v)
		if math.Abs(fv) < 1e-7 || math.Abs(far-near) < 1e-12*(1+math.Abs(far)) {
			return v
		}
		if fv*fFar < 0 {
			near, fNear = far, fFar
		} else {
			fNear /= 2
		}
		far, fFar = v, fv
	}
	return far
}

// bracket steps outwards until the cut is passed; found is false where the
// edge of the parameter space comes first.
func (pr *profile) bracket(excess func(float64) float64, side float64) (far, f float64, found bool) {
	edge, step := math.Inf(1)*side, 0.2
	switch pr.which {
	case InterceptSD, SlopeSD:
		if step = pr.value / 2; step == 0 {
			step = math.Exp(pr.at[0]) / 4
		}
		if side < 0 {
			edge = 0
		}
	case InterceptSlopeCorrelation:
		edge, step = side*math.Atanh(maxCorrelation), 0.5
	}
	for far = pr.value + side*step; ; far += side * step {
		if (far-edge)*side >= 0 {
			far = edge
		}
		if f = excess(far); f >= 0 {
			return far, f, true
		}
		if far == edge {
			return edge, f, false
		}
		step *= 1.6
	}
}

// RandomEffectTest tests that there is no random intercept, or, in a model with
// slopes, that there are no random slopes, by the likelihood ratio within the
// fit's own criterion. The null lies on the boundary: P is half the chi-square
// tail on 1 df for the intercept (Self & Liang 1987, JASA 82:605-610, case 5)
// and the mean of those on 1 and 2 df for the slope (Stram & Lee 1994,
// Biometrics 50:1171-1177, case 3).
func (f *MixedFit) RandomEffectTest() stats.BoundaryTest {
	if !f.Status.Usable() {
		return stats.UntestedBoundary()
	}
	if f.s.r == 1 {
		null, ok := f.s.profiled([]float64{0})
		if !ok {
			return stats.UntestedBoundary()
		}
		return stats.NewBoundaryTest(null.deviance - f.at.deviance)
	}
	l, _ := f.s.searchIntercept()
	null, _ := f.s.profiled(l)
	t := stats.NewBoundaryTest(null.deviance - f.at.deviance)
	if t.Statistic > 0 {
		t.Method = "likelihood ratio, null on the boundary, mean of chi-square on 1 and 2 df"
		t.P = (dist.ChiSquareTail(t.Statistic, 1) + dist.ChiSquareTail(t.Statistic, 2)) / 2
	}
	return t
}
