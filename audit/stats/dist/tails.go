package dist

import (
	"math"
	"sync/atomic"

	"gonum.org/v1/gonum/mathext"
)

// The tails below are computed directly, never as 1 minus the other side, so
// that a small P value keeps its leading digits. Quantiles start from a
// closed-form guess and are polished by safeguarded Newton steps on whichever
// tail is smaller.

// NormalTail is P(Z > z) (Abramowitz & Stegun 1964, 26.2.29).
func NormalTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// normalDensity is the standard normal density.
func normalDensity(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// NormalQuantile is the z with P(Z <= z) = p; infinite at p = 0 and 1, NaN outside.
func NormalQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p == 1:
		return math.Inf(1)
	}
	return mathext.NormalQuantile(p)
}

// NormalTwoSided is P(|Z| >= |z|).
func NormalTwoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// largeDF is where the incomplete beta gives way to the normal approximation
// of Abramowitz & Stegun 26.7.8, whose error there is below 1e-12.
const largeDF = 1e6

// TTail is P(T > t) for Student's t on df degrees of freedom (+Inf: normal),
// by the incomplete beta function (Abramowitz & Stegun 26.7.1 and 26.5.27).
func TTail(t, df float64) float64 {
	switch {
	case math.IsNaN(t) || !(df > 0):
		return math.NaN()
	case t < 0:
		return 1 - TTail(-t, df)
	case df > largeDF:
		if math.IsInf(df, 1) {
			return NormalTail(t)
		}
		return NormalTail(t * (1 - 1/(4*df)) / math.Sqrt(1+t*t/(2*df)))
	case math.IsInf(t, 1):
		return 0
	}
	if t*t < 1 { // the complement keeps digits near the centre, where the tail is not small
		return 0.5 - RegularisedBeta(0.5, df/2, t*t/(df+t*t), df/(df+t*t))/2
	}
	return RegularisedBeta(df/2, 0.5, df/(df+t*t), t*t/(df+t*t)) / 2
}

// TTwoSided is P(|T| >= |t|).
func TTwoSided(t, df float64) float64 { return math.Min(1, 2*TTail(math.Abs(t), df)) }

// tDensity is the density of Student's t on df degrees of freedom.
func tDensity(t, df float64) float64 {
	if df > largeDF {
		return normalDensity(t)
	}
	a, _ := math.Lgamma((df + 1) / 2)
	b, _ := math.Lgamma(df / 2)
	return math.Exp(a - b - 0.5*math.Log(df*math.Pi) - (df+1)/2*math.Log1p(t*t/df))
}

// TQuantile is the t with P(T <= t) = p on df degrees of freedom (+Inf: normal).
func TQuantile(p, df float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(df > 0):
		return math.NaN()
	case math.IsInf(df, 1):
		return NormalQuantile(p)
	case p == 0.5:
		return 0
	case p < 0.5:
		return -tUpperKept(p, df)
	}
	return tUpperKept(1-p, df)
}

// lastUpper are the quantiles found last, by whole degrees of freedom: an audit asks for
// those of one level again and again, since most of its intervals are of a few sizes.
var lastUpper [512]atomic.Pointer[struct{ q, t float64 }]

func tUpperKept(q, df float64) float64 {
	at := int(df)
	if df >= float64(len(lastUpper)) || float64(at) != df {
		return tUpperQuantile(q, df)
	}
	if last := lastUpper[at].Load(); last != nil && last.q == q {
		return last.t
	}
	t := tUpperQuantile(q, df)
	lastUpper[at].Store(&struct{ q, t float64 }{q, t})
	return t
}

// tUpperQuantile is the t > 0 with P(T > t) = q, 0 <= q < 0.5.
func tUpperQuantile(q, df float64) float64 {
	if q == 0 {
		return math.Inf(1)
	}
	if df < 3 { // exact for 1 and 2, and a safe start between
		if t := math.Tan(math.Pi * (0.5 - q)); df == 1 {
			return t
		}
		if t := (1 - 2*q) / math.Sqrt(2*q*(1-q)); df == 2 {
			return t
		}
	}
	// Cornish-Fisher start (Abramowitz & Stegun 26.7.5).
	z := -NormalQuantile(q)
	t := z + (z*z*z+z)/(4*df) + (5*math.Pow(z, 5)+16*z*z*z+3*z)/(96*df*df)
	return newtonQuantile(q, t, func(x float64) float64 { return TTail(x, df) },
		func(x float64) float64 { return tDensity(x, df) }, false)
}

// ChiSquareTail is P(X > x) for chi-square on df degrees of freedom
// (Abramowitz & Stegun 26.4.19).
func ChiSquareTail(x, df float64) float64 {
	switch {
	case math.IsNaN(x) || !(df > 0):
		return math.NaN()
	case x <= 0:
		return 1
	case math.IsInf(x, 1):
		return 0
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// chiSquareCDF is P(X <= x).
func chiSquareCDF(x, df float64) float64 {
	if x <= 0 {
		return 0
	}
	return mathext.GammaIncReg(df/2, x/2)
}

// ChiSquareQuantile is the x with P(X <= x) = p on df degrees of freedom.
func ChiSquareQuantile(p, df float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(df > 0):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1:
		return math.Inf(1)
	}
	// Wilson & Hilferty 1931 start (Abramowitz & Stegun 26.4.17).
	h := 2 / (9 * df)
	x := df * math.Pow(math.Max(1-h+NormalQuantile(p)*math.Sqrt(h), 0.01), 3)
	lg, _ := math.Lgamma(df / 2)
	density := func(x float64) float64 {
		return math.Exp((df/2-1)*math.Log(x) - x/2 - df/2*math.Ln2 - lg)
	}
	if p < 0.5 {
		if s := math.Exp((math.Log(p*df/2) + lg) * 2 / df); p < 0.05 && df < 2 { // leading term of the series
			x = 2 * s
		}
		return newtonQuantile(p, x, func(x float64) float64 { return chiSquareCDF(x, df) }, density, true)
	}
	return newtonQuantile(1-p, x, func(x float64) float64 { return ChiSquareTail(x, df) }, density, false)
}

// FTail is P(F > f) on d1 and d2 degrees of freedom (Abramowitz & Stegun
// 26.6.2 with the arguments that keep the small tail); d2 may be +Inf.
func FTail(f, d1, d2 float64) float64 {
	switch {
	case math.IsNaN(f) || !(d1 > 0) || !(d2 > 0):
		return math.NaN()
	case f <= 0:
		return 1
	case math.IsInf(f, 1):
		return 0
	case d2 > largeDF:
		return ChiSquareTail(f*d1, d1)
	}
	return RegularisedBeta(d2/2, d1/2, d2/(d2+d1*f), d1*f/(d2+d1*f))
}

// FQuantile is the f with P(F <= f) = p on d1 and d2 degrees of freedom.
func FQuantile(p, d1, d2 float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(d1 > 0) || !(d2 > 0):
		return math.NaN()
	case p == 0:
		return 0
	case p == 1:
		return math.Inf(1)
	case d2 > largeDF:
		return ChiSquareQuantile(p, d1) / d1
	}
	x := BetaQuantile(p, d1/2, d2/2)
	if x < 0.5 {
		return d2 * x / (d1 * (1 - x))
	}
	y := BetaQuantile(1-p, d2/2, d1/2) // 1-x without cancellation
	return d2 * (1 - y) / (d1 * y)
}

// BetaQuantile is the x with I_x(a, b) = p.
func BetaQuantile(p, a, b float64) float64 {
	switch {
	case p <= 0:
		return 0
	case p >= 1:
		return 1
	}
	x := mathext.InvRegIncBeta(a, b, p)
	lg, _ := math.Lgamma(a + b)
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	for range 3 {
		if !(x > 0 && x < 1) {
			break
		}
		density := math.Exp(lg - la - lb + (a-1)*math.Log(x) + (b-1)*math.Log1p(-x))
		step := (RegularisedBeta(a, b, x, 1-x) - p) / density
		if next := x - step; next > 0 && next < 1 {
			x = next
		}
	}
	return x
}

// newtonQuantile solves prob(x) = q for x > 0, where prob is a distribution
// function (rising) or a tail (falling). Steps are taken in log x against log
// prob, in which every tail used here is close to a straight line, so that the error of
// a step is less than the square of its length.
func newtonQuantile(q, x float64, prob, density func(float64) float64, rising bool) float64 {
	lo, hi := 0.0, math.Inf(1)
	if !(x > 0) || math.IsInf(x, 1) {
		x = 1
	}
	for range 200 {
		p := prob(x)
		if (p < q) == rising {
			lo = x
		} else {
			hi = x
		}
		slope := x * density(x) / p // |d log prob / d log x|
		step := math.Log(q/p) / slope
		if !rising {
			step = -step
		}
		next := x * math.Exp(max(-2, min(2, step)))
		settled := 1e-9
		if !(next > lo && next < hi) || math.IsNaN(next) {
			next, settled = bisect(lo, hi, x), 4e-16
		}
		if math.Abs(next-x) <= settled*x {
			return next
		}
		x = next
	}
	return x
}

// bisect gives a point inside an open bracket on the positive half line.
func bisect(lo, hi, x float64) float64 {
	switch {
	case math.IsInf(hi, 1):
		return 2 * x
	case lo == 0:
		return hi / 2
	}
	return lo + (hi-lo)/2
}
