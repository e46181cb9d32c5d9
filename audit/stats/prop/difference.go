package prop

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// ShareDifference is the share x1 of n1 less x2 of n2 among independent cases. Limits
// are the hybrid of both Wilson intervals (Newcombe 1998, Stat Med 17:873-890, method
// 10), with p the share and l, u its Wilson limits,
//
//	low = d - sqrt((p1-l1)^2 + (u2-p2)^2),  high = d + sqrt((u1-p1)^2 + (p2-l2)^2);
//
// P is Fisher's exact one, two-sided: it holds its level where one share is 0 or 1,
// where a standard error of the difference would be too small or none.
func ShareDifference(x1, n1, x2, n2 int, level float64) stats.Estimate {
	const method = "difference of two shares, Newcombe's limits from Wilson's; Fisher's exact P"
	a, ok1 := checkCount(x1, n1, level, method)
	b, ok2 := checkCount(x2, n2, level, method)
	e := a
	e.N, e.Clusters, e.Value, e.Low, e.High = n1+n2, n1+n2, a.Value-b.Value, math.NaN(), math.NaN()
	if !ok1 || !ok2 {
		if ok1 {
			e.Warnings = b.Warnings
		}
		e.Value = math.NaN()
		return e
	}
	q := dist.NormalQuantile(0.5 + level/2)
	l1, u1 := wilsonLimits(a.Value, float64(n1), q)
	l2, u2 := wilsonLimits(b.Value, float64(n2), q)
	e.Low = e.Value - math.Hypot(a.Value-l1, u2-b.Value)
	e.High = e.Value + math.Hypot(u1-a.Value, b.Value-l2)
	e.P = fisher(x1, n1, x2, n2)
	return e
}

// fisher sums the tables with the same margins that are no likelier than the one seen
// (Fisher 1935, J R Stat Soc 98:39-82); ties are allowed for as R's fisher.test does.
func fisher(x1, n1, x2, n2 int) float64 {
	events := x1 + x2
	low, high := max(0, events-n2), min(n1, events)
	seen, sum := hypergeometric(x1, n1, n2, events), 0.0
	for x := low; x <= high; x++ {
		if p := hypergeometric(x, n1, n2, events); p <= seen*(1+1e-7) {
			sum += p
		}
	}
	return min(1, sum)
}

// hypergeometric is the chance of x events among n1 of n1 + n2 cases, given all events.
func hypergeometric(x, n1, n2, events int) float64 {
	return math.Exp(logChoose(n1, x) + logChoose(n2, events-x) - logChoose(n1+n2, events))
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n) + 1)
	b, _ := math.Lgamma(float64(k) + 1)
	c, _ := math.Lgamma(float64(n-k) + 1)
	return a - b - c
}
