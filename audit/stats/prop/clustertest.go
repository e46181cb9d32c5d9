package prop

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// ChiSquareTest is the result of comparing shares between arms.
type ChiSquareTest struct {
	Statistic float64
	DF        float64
	P         float64
	Method    string
	Warnings  []stats.Warning
}

// leastEffect is the design effect below which agreement between cases is taken for
// luck; a convention, printed in the warning.
const leastEffect = 0.25

// Outcomes are the rows of one arm: an outcome a row and its case. Cluster nil:
// every row its own case.
type Outcomes struct {
	Success []bool
	Cluster []int
}

// RaoScottTest compares the shares of arms of different cases by Pearson's
// chi-square on counts divided by each arm's design effect (Rao & Scott 1992,
// Biometrics 48:577-585, equation 4).
func RaoScottTest(arms ...Outcomes) (ChiSquareTest, error) {
	sums, err := armSums(arms)
	if err != nil {
		return ChiSquareTest{}, err
	}
	x, n := make([]float64, len(sums)), make([]float64, len(sums))
	for i, s := range sums {
		d := s.m / (s.m - 1) * s.u2 / (s.n * s.p * (1 - s.p))
		x[i], n[i] = s.n*s.p/d, s.n/d
	}
	t := pearson(x, n, nil)
	t.Method = "Rao-Scott adjusted chi-square, cases as units"
	t.warn(sums)
	for i, s := range sums {
		if d := s.n / n[i]; d < leastEffect {
			t.Warnings = append(t.Warnings, stats.Warning{
				ID: "small-design-effect", Text: fmt.Sprintf("cases of arm %d agree better than chance (design effect %.2f, below %.2f): P is too small", i+1, d, leastEffect),
				Remedy: "read Donner's test, or compare the intervals of the shares",
			})
		}
	}
	return t, nil
}

// DonnerTest compares the shares of arms of different cases by a chi-square
// with each arm's terms divided by 1 + (sum n^2/sum n - 1) rho, rho the
// analysis-of-variance correlation within a case, pooled over the arms (Donner
// 1989, Stat Med 8:1171-1177; Donner & Klar 2000, section 6.1). A correlation
// below 0 counts as 0: cases that agree by luck must not sharpen the test.
func DonnerTest(arms ...Outcomes) (ChiSquareTest, error) {
	sums, err := armSums(arms)
	if err != nil {
		return ChiSquareTest{}, err
	}
	var across, within, n, m, unequal float64
	for _, s := range sums {
		across += s.across
		within += s.within
		n += s.n
		m += s.m
		unequal += s.n2 / s.n
	}
	k := float64(len(sums))
	between, inside := across/(m-k), within/(n-m)
	n0 := (n - unequal) / (m - k)
	rho := max(0, (between-inside)/(between+(n0-1)*inside))
	if n == m {
		rho = 0
	}
	x, size, c := make([]float64, len(sums)), make([]float64, len(sums)), make([]float64, len(sums))
	for i, s := range sums {
		x[i], size[i], c[i] = s.n*s.p, s.n, 1+(s.n2/s.n-1)*rho
	}
	t := pearson(x, size, c)
	t.Method = fmt.Sprintf("Donner adjusted chi-square, pooled correlation within a case %.3f", rho)
	t.warn(sums)
	return t, nil
}

func armSums(arms []Outcomes) ([]proportionSums, error) {
	if len(arms) < 2 {
		return nil, fmt.Errorf("stats: %d arms: expected at least two", len(arms))
	}
	sums := make([]proportionSums, len(arms))
	for i, a := range arms {
		if err := bycase.CheckClustered(len(a.Success), a.Cluster); err != nil {
			return nil, fmt.Errorf("arm %d: %w", i, err)
		}
		sums[i] = sumProportion(countCases(a.Success, a.Cluster))
	}
	return sums, nil
}

// pearson is sum n (p_i - p)^2 / (c_i p (1-p)) over arms; c nil counts as ones.
func pearson(x, n, c []float64) ChiSquareTest {
	var sx, sn, stat float64
	for i := range x {
		sx += x[i]
		sn += n[i]
	}
	p := sx / sn
	for i := range x {
		stat += n[i] * numeric.Square(x[i]/n[i]-p) / (p * (1 - p) * bycase.At(c, i))
	}
	df := float64(len(x) - 1)
	return ChiSquareTest{Statistic: stat, DF: df, P: dist.ChiSquareTail(stat, df)}
}

func (t *ChiSquareTest) warn(arms []proportionSums) {
	fewest := math.Inf(1)
	for _, s := range arms {
		fewest = min(fewest, s.m)
	}
	switch {
	case math.IsNaN(t.Statistic):
		t.Warnings = append(t.Warnings, stats.Warning{
			ID: "no-variation", Text: "an arm has outcomes all alike, or fewer than two cases: no design effect",
			Remedy: "compare the intervals of the shares instead",
		})
	case fewest < stats.FewClusters:
		t.Warnings = append(t.Warnings, stats.Warning{
			ID: "few-clusters", Text: fmt.Sprintf("an arm has %.0f cases (fewer than %d): chi-square is rough", fewest, stats.FewClusters),
			Remedy: "collect more cases",
		})
	}
}

// DesignEffect is 1 + (sum n^2/sum n - 1) icc for clusters of the given sizes
// (Kish 1965, section 8.2; unequal sizes: Donner, Birkett & Buck 1981, Am J
// Epidemiol 114:906-914). Divide the number of rows by it for the effective
// number.
func DesignEffect(icc float64, sizes ...int) float64 {
	var n, n2 float64
	for _, s := range sizes {
		n += float64(s)
		n2 += float64(s) * float64(s)
	}
	return 1 + (n2/n-1)*icc
}

// ClusteredProportionDifference is a minus b for arms of different cases, its
// interval joined from the two single ones by squaring and adding (Zou &
// Donner 2008, Stat Med 27:1693-1702, equation 8). Arms that share cases need
// a model with the case in it.
func ClusteredProportionDifference(a, b Proportion) stats.Estimate {
	return newcombe(a.Estimate, b.Estimate, "difference of proportions, limits recovered from clustered Wilson limits, arms of different cases")
}
