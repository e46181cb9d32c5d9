package prop

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// checkCount gives the estimate x/n, or one with NaN limits and the reason.
func checkCount(x, n int, level float64, method string) (stats.Estimate, bool) {
	e := stats.Estimate{
		Value: float64(x) / float64(n), SE: math.NaN(), DF: math.Inf(1), P: math.NaN(),
		Level: level, N: n, Clusters: n, Method: method,
	}
	switch {
	case n == 0:
		e.Value = math.NaN()
		e.NotEstimable(stats.NoData)
	case n < 0 || x < 0 || x > n || stats.CheckLevel(level) != nil:
		e.Value = math.NaN()
		e.NotEstimable(stats.Warning{
			ID: "bad-count", Text: fmt.Sprintf("%d of %d at level %v: expected 0 <= x <= n and 0 < level < 1", x, n, level),
			Remedy: "correct the counts",
		})
	default:
		return e, true
	}
	return e, false
}

// wilsonLimits solves |p - pi| = q sqrt(pi (1-pi)/n) for pi (Wilson 1927, J
// Am Stat Assoc 22:209-212; Newcombe 1998, Stat Med 17:857-872, method 3).
func wilsonLimits(p, n, q float64) (low, high float64) {
	q2 := q * q
	centre := p + q2/(2*n)
	half := q * math.Sqrt(p*(1-p)/n+q2/(4*n*n))
	low, high = (centre-half)/(1+q2/n), (centre+half)/(1+q2/n)
	if p == 0 {
		low = 0
	}
	if p == 1 {
		high = 1
	}
	return max(0, low), min(1, high)
}

// Wilson is the score interval of x successes among n independent trials
// (Wilson 1927). Bad counts give NaN limits and a warning.
func Wilson(x, n int, level float64) stats.Estimate {
	e, ok := checkCount(x, n, level, "Wilson score interval, independent observations")
	if ok {
		e.Low, e.High = wilsonLimits(e.Value, float64(n), dist.NormalQuantile(0.5+level/2))
	}
	return e
}

// WilsonContinuity is the score interval with continuity correction (Newcombe
// 1998, Stat Med 17:857-872, method 4).
func WilsonContinuity(x, n int, level float64) stats.Estimate {
	e, ok := checkCount(x, n, level, "Wilson score interval, continuity corrected, independent observations")
	if !ok {
		return e
	}
	p, m, z := e.Value, float64(n), dist.NormalQuantile(0.5+level/2)
	e.Low, e.High = 0, 1
	if x > 0 {
		e.Low = max(0, (2*m*p+z*z-1-z*root(z*z-2-1/m+4*p*(m*(1-p)+1)))/(2*(m+z*z)))
	}
	if x < n {
		e.High = min(1, (2*m*p+z*z+1+z*root(z*z+2-1/m+4*p*(m*(1-p)-1)))/(2*(m+z*z)))
	}
	return e
}

// root is the square root, 0 below 0 (low levels at tiny counts).
func root(v float64) float64 { return math.Sqrt(max(0, v)) }

// ClopperPearson is the exact interval (Clopper & Pearson 1934, Biometrika
// 26:404-413), by beta quantiles.
func ClopperPearson(x, n int, level float64) stats.Estimate {
	e, ok := checkCount(x, n, level, "Clopper-Pearson exact interval, independent observations")
	if ok {
		e.Low, e.High = exactLimits(float64(x), float64(n), level)
	}
	return e
}

// exactLimits are Clopper and Pearson's, for x and n that need not be whole.
func exactLimits(x, n, level float64) (low, high float64) {
	low, high = 0, 1
	if x > 0 {
		low = dist.BetaQuantile((1-level)/2, x, n-x+1)
	}
	if x < n {
		high = 1 - dist.BetaQuantile((1-level)/2, n-x, x+1) // upper tail, kept small
	}
	return low, high
}

// Jeffreys is the equal-tailed posterior interval under the Beta(1/2, 1/2)
// prior (Brown, Cai & DasGupta 2001, Stat Sci 16:101-133, section 4.1.2),
// without their change at x = 0 and x = n.
func Jeffreys(x, n int, level float64) stats.Estimate {
	e, ok := checkCount(x, n, level, "Jeffreys interval, independent observations")
	if ok {
		a, b := float64(x)+0.5, float64(n-x)+0.5
		e.Low, e.High = dist.BetaQuantile((1-level)/2, a, b), 1-dist.BetaQuantile((1-level)/2, b, a)
	}
	return e
}

// NewcombeDifference is x1/n1 - x2/n2 with the hybrid score interval (Newcombe
// 1998, Stat Med 17:873-890, method 10) for two independent samples.
func NewcombeDifference(x1, n1, x2, n2 int, level float64) stats.Estimate {
	return newcombe(Wilson(x1, n1, level), Wilson(x2, n2, level), "difference of proportions, Newcombe hybrid score, independent observations")
}

// NewcombeDifferenceContinuity is method 11, from continuity-corrected limits.
// (Newcombe 1998, Stat Med 17:873-890.)
func NewcombeDifferenceContinuity(x1, n1, x2, n2 int, level float64) stats.Estimate {
	return newcombe(WilsonContinuity(x1, n1, level), WilsonContinuity(x2, n2, level),
		"difference of proportions, Newcombe hybrid score, continuity corrected, independent observations")
}

// newcombe joins two single intervals by squaring and adding (Zou & Donner
// 2008, Stat Med 27:1693-1702, name this the method of variance estimates
// recovery; it holds for clustered arms too when these are independent).
func newcombe(a, b stats.Estimate, method string) stats.Estimate {
	d := a
	d.Value = a.Value - b.Value
	d.N, d.Clusters, d.Method = a.N+b.N, a.Clusters+b.Clusters, method
	d.Warnings = append(append([]stats.Warning(nil), a.Warnings...), b.Warnings...)
	d.SE, d.DF = math.Hypot(a.SE, b.SE), welchDF(a, b)
	if a.Level != b.Level {
		d.NotEstimable(stats.Warning{ID: "two-levels", Text: fmt.Sprintf("the arms have limits at levels %v and %v", a.Level, b.Level), Remedy: "take both at one level"})
		return d
	}
	d.Low = d.Value - math.Hypot(a.Value-a.Low, b.High-b.Value)
	d.High = d.Value + math.Hypot(a.High-a.Value, b.Value-b.Low)
	return d
}

// welchDF are the degrees of freedom of a difference of independent estimates
// (Satterthwaite 1946, Biometrics Bulletin 2:110-114); where an arm has no
// standard error, the fewer of the two.
func welchDF(a, b stats.Estimate) float64 {
	va, vb := a.SE*a.SE, b.SE*b.SE
	if df := numeric.Square(va+vb) / (va*va/a.DF + vb*vb/b.DF); !math.IsNaN(df) {
		return df
	}
	return min(a.DF, b.DF)
}
