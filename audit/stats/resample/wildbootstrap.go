package resample

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// WildCluster tests one coefficient of a linear model, rows of x against y, by
// the wild cluster bootstrap-t with the null imposed and Rademacher weights
// (Cameron, Gelbach & Miller 2008, Rev Econ Stat 90:414-427, section III.B):
// residuals of the restricted fit are multiplied by one random sign a case.
// With few cases all 2^m signs are tried instead, and the result is exact over
// them. The interval inverts the test with the same signs (Cameron & Miller
// 2015, J Hum Resour 50:317-372, section VI.C.3). x must have full column rank.
func WildCluster(y []float64, x [][]float64, cluster []int, coefficient int, null, level float64, s BootstrapSettings) (BootstrapResult, error) {
	w, err := newWild(y, x, cluster, coefficient, level, s)
	if err != nil {
		return BootstrapResult{}, err
	}
	r := BootstrapResult{
		Estimate: stats.Estimate{
			Value: w.beta, SE: w.se, DF: math.NaN(), Level: level, N: len(y), Clusters: w.m,
			Method: "least squares, wild cluster bootstrap-t, null imposed, Rademacher signs, cases as units",
		},
		Replicates: w.count, Seed: s.Seed, Generator: bootstrapGenerator, Z0: math.NaN(), Accel: math.NaN(), Bias: math.NaN(),
	}
	switch {
	case w.m < 2:
		r.NotEstimable(stats.OneCluster)
		return r, nil
	case len(y) <= w.k || !(w.se > stats.Rounding*w.size):
		r.NotEstimable(stats.NoSpread)
		return r, nil
	}
	r.P = w.p(null)
	tail := 1 - level
	r.Low, r.High = w.invert(tail, -1), w.invert(tail, 1)
	r.WarnFewClusters()
	if smallest := math.Pow(2, float64(1-w.m)); smallest > tail {
		r.Low, r.High = math.Inf(-1), math.Inf(1)
		r.Warn("few-signs", fmt.Sprintf("%d cases allow no P below %.2g", w.m, smallest), "add cases")
	}
	return r, nil
}

// wild holds what a replicate needs, all of it a case: in coordinates of T, with l
// those of the coefficient, moment v = T_c'u, score s = l'v and b = T_c'T_c l.
// The restricted fit lies in the span of X, so it cancels:
// beta* - null = sum w s and the score of a case's new residual is
// w s - b' sum w v. The residual of the restricted fit at null value r is
// linear in r: u = y - T gamma_r, so v and s are kept for null 0 and slope.
type wild struct {
	m, k            int
	beta, se        float64
	size            float64 // what the coefficient could be, by the size of y
	cases           []wildCase
	signs           []uint64 // a bit a case, words a replicate
	words, count    int
	settings        BootstrapSettings
	enumerate       bool
	smallCorrection float64
}

// wildCase is what a case adds at null r: T_c'u = v0 + r v1, s = s0 + r s1, and b.
type wildCase struct {
	v0, v1, b []float64
	s0, s1    float64
}

const enumerateUpTo = 12 // cases; 4096 sign vectors

func newWild(y []float64, x [][]float64, cluster []int, coefficient int, level float64, s BootstrapSettings) (*wild, error) {
	if err := errors.Join(s.check(), stats.CheckLevel(level)); err != nil {
		return nil, err
	}
	n := len(y)
	if len(x) != n || n == 0 {
		return nil, fmt.Errorf("stats: %d outcomes and %d rows of the design", n, len(x))
	}
	k := len(x[0])
	if coefficient < 0 || coefficient >= k {
		return nil, fmt.Errorf("stats: coefficient %d of %d", coefficient, k)
	}
	if err := bycase.CheckClustered(n, cluster, y); err != nil {
		return nil, err
	}
	for i, row := range x {
		if len(row) != k {
			return nil, fmt.Errorf("stats: design row %d has %d columns, expected %d", i, len(row), k)
		}
		if err := bycase.CheckClustered(k, nil, row); err != nil {
			return nil, fmt.Errorf("design row %d: %w", i, err)
		}
	}
	w := &wild{k: k, settings: s}
	return w, w.prepare(y, x, bycase.Rows(n, cluster), coefficient)
}

// prepare works in coordinates of T = XL (see orthonormal), in which A is the
// identity and the coefficient is l'gamma, so that columns far from their means,
// as years are, cost no digits.
func (w *wild) prepare(y []float64, x [][]float64, groups [][]int, j int) error {
	flat := make([]float64, 0, len(y)*w.k)
	for _, row := range x {
		flat = append(flat, row...)
	}
	o := sandwich.NewOrthonormal(flat, y, nil, w.k)
	if len(o.Dropped) > 0 {
		return fmt.Errorf("stats: column %d of the design depends on those before it; drop it", o.Dropped[0])
	}
	c := make([]float64, w.k)
	c[j] = 1
	l, _ := o.Coordinates(c)
	w.m, w.beta, w.size = len(groups), o.Value(c), math.Sqrt(numeric.Dot(l, l))*o.Size()
	for _, g := range groups {
		w.addCase(o, g, l)
	}
	// Cases in the order of the sizes of their scores: neither the names of cases
	// nor the direction move a draw.
	slices.SortFunc(w.cases, func(a, b wildCase) int { return cmp.Or(numeric.BySize(a.s0, b.s0), numeric.BySize(a.s1, b.s1)) })
	m, n := float64(w.m), float64(len(y))
	w.smallCorrection = m / (m - 1) * (n - 1) / (n - float64(w.k)) // CR1; cancels in t, not in SE
	w.drawSigns()
	w.se = w.standardError(func(int) float64 { return 1 }, w.beta)
	return nil
}

// addCase uses that the restricted fit at null r leaves the residual of the full
// one plus t'l (beta - r)/l'l.
func (w *wild) addCase(o *sandwich.Orthonormal, rows []int, l []float64) {
	k := w.k
	one := wildCase{v0: make([]float64, k), v1: make([]float64, k), b: make([]float64, k)}
	own := make([]float64, k)
	for _, i := range rows {
		t := o.RowOf(i, own)
		a := numeric.Dot(t, l)
		share := a / numeric.Dot(l, l)
		numeric.Axpy(o.Resid[i]+share*w.beta, t, one.v0)
		numeric.Axpy(-share, t, one.v1)
		numeric.Axpy(a, t, one.b)
	}
	one.s0, one.s1 = numeric.Dot(l, one.v0), numeric.Dot(l, one.v1)
	w.cases = append(w.cases, one)
}

// drawSigns fixes the sign vectors: all of them for few cases, else random.
func (w *wild) drawSigns() {
	w.words = (w.m + 63) / 64
	w.enumerate = w.m <= enumerateUpTo
	if w.enumerate {
		w.count = 1 << w.m
		w.signs = make([]uint64, w.count)
		for i := range w.signs {
			w.signs[i] = uint64(i)
		}
		return
	}
	w.count = w.settings.Replicates
	w.signs = make([]uint64, w.count*w.words)
	for rep := range w.count {
		g := replicateRand(w.settings.Seed, rep)
		for i := range w.words {
			w.signs[rep*w.words+i] = g.Uint64()
		}
	}
}

func (w *wild) sign(rep, c int) float64 {
	return 1 - 2*float64(w.signs[rep*w.words+c/64]>>(c%64)&1)
}

// standardError is the CR1 error of the coefficient when case c's residuals at
// null r are multiplied by weight(c).
func (w *wild) standardError(weight func(int) float64, r float64) float64 {
	_, v := w.replicate(weight, r, make([]float64, w.k))
	return math.Sqrt(v)
}

// replicate gives beta* - r and its CR1 variance.
func (w *wild) replicate(weight func(int) float64, r float64, total []float64) (shift, variance float64) {
	clear(total)
	for c := range w.cases {
		wc, one := weight(c), &w.cases[c]
		shift += wc * (one.s0 + r*one.s1)
		for i := range total {
			total[i] += wc * (one.v0[i] + r*one.v1[i])
		}
	}
	for c := range w.cases {
		one := &w.cases[c]
		e := weight(c) * (one.s0 + r*one.s1)
		for i, t := range total {
			e -= one.b[i] * t
		}
		variance += e * e
	}
	return shift, w.smallCorrection * variance
}

// p is the share of sign vectors whose |t| reaches the observed one at null r.
func (w *wild) p(r float64) float64 {
	observed := math.Abs(w.beta-r) / w.se
	ts := replicates(w.count, w.settings.Workers, func() func(rep int) float64 {
		total := make([]float64, w.k)
		return func(rep int) float64 {
			shift, v := w.replicate(func(c int) float64 { return w.sign(rep, c) }, r, total)
			return math.Abs(shift) / math.Sqrt(v)
		}
	})
	count := 0
	for _, t := range ts {
		if t >= observed*(1-1e-12) || math.IsNaN(t) {
			count++
		}
	}
	if w.enumerate { // the observed signs are among them
		return float64(count) / float64(w.count)
	}
	return float64(count+1) / float64(w.count+1) // Davison & Hinkley 1997, equation 4.11
}

// invert finds the value, up or down from the estimate, where P falls to tail.
func (w *wild) invert(tail, direction float64) float64 {
	inside, step := w.beta, direction*2*w.se
	outside := inside + step
	for range 60 {
		if w.p(outside) <= tail {
			break
		}
		inside, step = outside, 2*step
		outside += step
	}
	if w.p(outside) > tail {
		return math.Inf(int(direction))
	}
	for range 45 {
		middle := inside + (outside-inside)/2
		if w.p(middle) <= tail {
			outside = middle
		} else {
			inside = middle
		}
	}
	return inside
}
