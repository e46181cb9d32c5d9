package stats

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
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
		Estimate: Estimate{
			Value: w.beta, SE: w.se, DF: math.NaN(), Level: level, N: len(y), Clusters: w.m,
			Method: "least squares, wild cluster bootstrap-t, null imposed, Rademacher signs, cases as units",
		},
		Replicates: w.count, Seed: s.Seed, Generator: bootstrapGenerator, Z0: math.NaN(), Accel: math.NaN(), Bias: math.NaN(),
	}
	if w.m < 2 {
		r.notEstimable(oneCluster)
		return r, nil
	}
	r.P = w.p(null)
	tail := 1 - level
	r.Low, r.High = w.invert(tail, -1), w.invert(tail, 1)
	r.warnFewClusters()
	if smallest := math.Pow(2, float64(1-w.m)); smallest > tail {
		r.Low, r.High = math.Inf(-1), math.Inf(1)
		r.warn("few-signs", fmt.Sprintf("%d cases allow no P below %.2g", w.m, smallest), "add cases")
	}
	return r, nil
}

// wild holds what a replicate needs, all of it a case: with A = (X'X)^-1 and a
// its row of the coefficient, moment v = X_c'u, score s = a'v and
// b = a'X_c'X_c A. The restricted fit lies in the span of X, so it cancels:
// beta* - null = sum w s and the score of a case's new residual is
// w s - b' sum w v. The residual of the restricted fit at null value r is
// linear in r: u = y - X beta_r, so v and s are kept for null 0 and slope.
type wild struct {
	m, k            int
	beta, se        float64
	v0, v1          [][]float64 // X_c'u = v0 + r v1
	s0, s1          []float64
	b               [][]float64
	signs           []uint64 // a bit a case, words a replicate
	words, count    int
	settings        BootstrapSettings
	enumerate       bool
	smallCorrection float64
}

const enumerateUpTo = 12 // cases; 4096 sign vectors

func newWild(y []float64, x [][]float64, cluster []int, coefficient int, level float64, s BootstrapSettings) (*wild, error) {
	if err := errors.Join(s.check(), checkLevel(level)); err != nil {
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
	if err := checkClustered(n, cluster, y); err != nil {
		return nil, err
	}
	for i, row := range x {
		if len(row) != k {
			return nil, fmt.Errorf("stats: design row %d has %d columns, expected %d", i, len(row), k)
		}
		if err := checkClustered(k, nil, row); err != nil {
			return nil, fmt.Errorf("design row %d: %w", i, err)
		}
	}
	w := &wild{k: k, settings: s}
	return w, w.prepare(y, x, groupRows(n, cluster), coefficient)
}

func (w *wild) prepare(y []float64, x [][]float64, groups [][]int, j int) error {
	k := w.k
	xtx := mat.NewSymDense(k, nil)
	for _, row := range x {
		xtx.SymRankOne(xtx, 1, mat.NewVecDense(k, row))
	}
	var chol mat.Cholesky
	if !chol.Factorize(xtx) || chol.Cond() > 1e14 {
		return fmt.Errorf("stats: the design is not of full rank; drop the columns that depend on others")
	}
	var inv mat.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		return fmt.Errorf("stats: %w", err)
	}
	xty := make([]float64, k)
	for i, row := range x {
		for c, v := range row {
			xty[c] += v * y[i]
		}
	}
	beta := make([]float64, k)
	for a := range k {
		for b := range k {
			beta[a] += inv.At(a, b) * xty[b]
		}
	}
	w.beta = beta[j]
	// Restricted estimate at null r: beta_r = beta - A_j (beta_j - r)/A_jj.
	base, slope := make([]float64, k), make([]float64, k)
	for a := range k {
		slope[a] = inv.At(a, j) / inv.At(j, j)
		base[a] = beta[a] - slope[a]*beta[j]
	}
	w.m = len(groups)
	for _, g := range groups {
		w.addCase(y, x, g, &inv, j, base, slope)
	}
	m, n := float64(w.m), float64(len(y))
	w.smallCorrection = m / (m - 1) * (n - 1) / (n - float64(k)) // CR1; cancels in t, not in SE
	w.drawSigns()
	w.se = w.standardError(func(int) float64 { return 1 }, w.beta)
	return nil
}

func (w *wild) addCase(y []float64, x [][]float64, rows []int, inv *mat.SymDense, j int, base, slope []float64) {
	k := w.k
	v0, v1, b := make([]float64, k), make([]float64, k), make([]float64, k)
	xtx := make([]float64, k) // a'X_c'X_c
	for _, i := range rows {
		var fit0, fit1, ax float64
		for c, v := range x[i] {
			fit0 += v * base[c]
			fit1 += v * slope[c]
			ax += v * inv.At(j, c)
		}
		for c, v := range x[i] {
			v0[c] += v * (y[i] - fit0)
			v1[c] -= v * fit1
			xtx[c] += ax * v
		}
	}
	var s0, s1 float64
	for c := range k {
		s0 += inv.At(j, c) * v0[c]
		s1 += inv.At(j, c) * v1[c]
		for d := range k {
			b[c] += xtx[d] * inv.At(d, c)
		}
	}
	w.v0, w.v1, w.b = append(w.v0, v0), append(w.v1, v1), append(w.b, b)
	w.s0, w.s1 = append(w.s0, s0), append(w.s1, s1)
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
	for c := range w.m {
		wc := weight(c)
		shift += wc * (w.s0[c] + r*w.s1[c])
		for i := range total {
			total[i] += wc * (w.v0[c][i] + r*w.v1[c][i])
		}
	}
	for c := range w.m {
		e := weight(c) * (w.s0[c] + r*w.s1[c])
		for i, t := range total {
			e -= w.b[c][i] * t
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
