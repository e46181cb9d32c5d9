package sandwich

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/round"
)

// SingularContrasts: the contrasts of a joint test depend on each other.
var SingularContrasts = stats.Warning{
	ID: "not-estimable", Text: "the data cannot separate the comparisons of this joint test",
	Remedy: "test fewer of them, or drop one that follows from the others",
}

// RobustJoint is the approximate Hotelling T^2 test that all contrasts are zero
// (Pustejovsky & Tipton 2018, section 3.2, equation 11).
func RobustJoint(o *Solution, s Sandwich, contrasts [][]float64, method string) stats.JointTest {
	q := len(contrasts)
	t := stats.JointTest{DF1: float64(q), Method: method}
	if s == nil {
		return t.Fail(stats.OneCluster)
	}
	l, value, ok := JointCoordinates(o, contrasts)
	if !ok {
		return t.Fail(SingularContrasts)
	}
	stat, ok := WaldStatistic(q, s.Between(l), value)
	if !ok {
		return t.Fail(SingularContrasts)
	}
	// Rotate so that the variance expects the identity, then nu = q(q+1) over
	// the summed variances of its elements.
	seen := s.Gather(l)
	root, ok := numeric.Cholesky(q, seen.mean())
	if !ok {
		return t.Fail(SingularContrasts)
	}
	m := seen.moments(root.Whitening())
	spread := 0.0
	for i := range m.spread {
		spread += m.spread[i] + m.cross[i]
	}
	nu := t.DF1 * (t.DF1 + 1) / spread
	t.DF2 = nu - t.DF1 + 1
	if !(t.DF2 > 0) {
		return t.Fail(stats.Warning{ID: "few-df", Text: "too few cases for a joint test of so many comparisons", Remedy: "test them one by one, or add cases"})
	}
	t.F = t.DF2 / nu * stat / t.DF1
	t.P = dist.FTail(t.F, t.DF1, t.DF2)
	if t.DF2 < stats.FewDF {
		t.Warnings = append(t.Warnings, stats.Warning{ID: "few-df", Text: fmt.Sprintf("only %s denominator degrees of freedom (fewer than %d): P is rough", round.Text(t.DF2, 1), stats.FewDF), Remedy: "add cases"})
	}
	return t
}

// JointCoordinates gives coordinates and values of contrasts; false where one is
// not estimable.
func JointCoordinates(o *Solution, contrasts [][]float64) (l [][]float64, value []float64, ok bool) {
	if len(contrasts) == 0 {
		panic("stats: joint test of no contrasts")
	}
	for _, c := range contrasts {
		if len(c) != o.Width {
			panic(fmt.Sprintf("stats: contrast of %d numbers for %d columns", len(c), o.Width))
		}
		x, ok := o.Coordinates(c)
		if !ok {
			return nil, nil, false
		}
		l, value = append(l, x), append(value, o.Value(c))
	}
	return l, value, true
}

// Quadratics is the q x q matrix l_s'A l_t.
func Quadratics(a []float64, l [][]float64) []float64 {
	q := len(l)
	out, v := make([]float64, q*q), make([]float64, len(l[0]))
	for i := range q {
		numeric.SymVec(a, l[i], v)
		for j := range q {
			out[i*q+j] = numeric.Dot(v, l[j])
		}
	}
	return out
}

// WaldStatistic is b'V^-1 b.
func WaldStatistic(q int, v, b []float64) (float64, bool) {
	c, ok := numeric.Cholesky(q, v)
	if !ok {
		return math.NaN(), false
	}
	x := append([]float64(nil), b...)
	c.Forward(x)
	return numeric.Dot(x, x), true
}
