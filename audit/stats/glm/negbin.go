package glm

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// For whole counts, psi(y+theta) - psi(theta) = sum over j < y of
// 1/(theta+j); summed over rows this needs only how many rows lie above each
// j (Lawless 1987, equation 2.3). No digamma and no cancellation.

// momentTheta is the start: sum of mu^2 over the excess of squares.
func (it *countIteration) momentTheta() float64 {
	a, b := 0.0, 0.0
	for i, mu := range it.mu {
		a += mu * mu
		b += (it.y[i]-mu)*(it.y[i]-mu) - it.y[i]
	}
	return math.Min(math.Max(a/b, 1e-3), 1e6)
}

// thetaDerivatives are d logL / d theta and -d2 logL / d theta2.
func (it *countIteration) thetaDerivatives() (score, info float64) {
	t := it.theta
	for j, c := range it.more {
		score += c / (t + float64(j))
		info += c / ((t + float64(j)) * (t + float64(j)))
	}
	inverse := 1 / t
	logs := numeric.LogSum{Exact: t > exactTheta}
	for i, mu := range it.mu {
		r := 1 / (mu + t)
		d := (mu - it.y[i]) * r
		score += d
		logs.Add(mu * inverse)
		info += (d - mu*inverse) * r
	}
	score -= logs.Sum()
	return score, info
}

// exactTheta is the theta above which each log is taken by itself: the terms of
// the score then nearly cancel.
const exactTheta = 1e3

// maxTheta stands for no overdispersion: beyond it the family is Poisson's to
// rounding.
const maxTheta = 1e9

// updateTheta takes a Newton step in log theta for fixed means and returns its
// size; means and theta converge together, their information being orthogonal
// (Lawless 1987, section 2).
func (it *countIteration) updateTheta() float64 {
	score, info := it.thetaDerivatives()
	// In log theta: gradient theta*score, curvature theta^2*info - theta*score.
	curve := it.theta*it.theta*info - it.theta*score
	step := it.theta * score / curve
	if !(curve > 0) { // not concave here: move uphill
		step = math.Copysign(1, score)
	}
	step = math.Max(-2, math.Min(2, step))
	it.theta = math.Min(it.theta*math.Exp(step), maxTheta)
	return math.Abs(step)
}

// logLik with all constants.
func (it *countIteration) logLik() (s float64) {
	s = -it.logFacts
	if math.IsInf(it.theta, 1) {
		for i, mu := range it.mu {
			s -= mu
			if y := it.y[i]; y > 0 {
				s += y * it.eta[i]
			}
		}
		return s
	}
	for j, c := range it.more {
		if c > 0 {
			s += c * math.Log(it.theta+float64(j))
		}
	}
	for i, mu := range it.mu {
		// y log(mu/(theta+mu)) - theta log(1+mu/theta)
		l := math.Log1p(mu / it.theta)
		s -= it.theta * l
		if y := it.y[i]; y > 0 {
			s += y * (it.eta[i] - math.Log(it.theta) - l)
		}
	}
	return s
}

// deviance is twice the log likelihood short of a perfect fit, theta fixed.
func (it *countIteration) deviance() (s float64) {
	for i, mu := range it.mu {
		y := it.y[i]
		if y > 0 {
			s += y * (math.Log(y) - it.eta[i])
		}
		if math.IsInf(it.theta, 1) {
			s -= y - mu
		} else {
			s -= (y + it.theta) * math.Log((y+it.theta)/(mu+it.theta))
		}
	}
	return 2 * s
}
