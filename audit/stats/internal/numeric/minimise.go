package numeric

import (
	"math"
)

// Minimise finds the minimum of f between lo and hi by golden sections and
// parabolas (Brent 1973, Algorithms for Minimization without Derivatives,
// chapter 5), to tol relative to 1 + |x|.
func Minimise(f func(float64) float64, lo, hi, tol float64) (x, fx float64) {
	const golden = 0.3819660112501051
	x = lo + golden*(hi-lo)
	fx = f(x)
	w, v, fw, fv := x, x, fx, fx // second best and the best before that
	var step, before float64
	for range 100 {
		mid, eps := (lo+hi)/2, tol*(1+math.Abs(x))
		if math.Abs(x-mid) <= 2*eps-(hi-lo)/2 {
			break
		}
		next, ok := parabola(x, w, v, fx, fw, fv)
		if ok && math.Abs(next-x) < math.Abs(before)/2 && next > lo && next < hi {
			before, step = step, next-x
			if next-lo < 2*eps || hi-next < 2*eps {
				step = math.Copysign(eps, mid-x)
			}
		} else {
			if before = hi - x; x >= mid {
				before = lo - x
			}
			step = golden * before
		}
		if math.Abs(step) < eps {
			step = math.Copysign(eps, step)
		}
		u := x + step
		fu := f(u)
		if fu <= fx {
			if u >= x {
				lo = x
			} else {
				hi = x
			}
			v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
			continue
		}
		if u < x {
			lo = u
		} else {
			hi = u
		}
		switch {
		case fu <= fw || w == x:
			v, fv, w, fw = w, fw, u, fu
		case fu <= fv || v == x || v == w:
			v, fv = u, fu
		}
	}
	return x, fx
}

// parabola gives the turning point of the parabola through three points; false
// where they lie on a line.
func parabola(x, w, v, fx, fw, fv float64) (float64, bool) {
	a := (x - w) * (fx - fv)
	b := (x - v) * (fx - fw)
	p := (x-v)*b - (x-w)*a
	q := 2 * (b - a)
	if q == 0 || math.IsNaN(p/q) {
		return 0, false
	}
	return x - p/q, true
}
