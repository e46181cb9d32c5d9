package confound

import (
	"errors"
	"fmt"
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// mostSteps of the likelihood; it converges in fewer than ten or not at all.
const mostSteps = 50

// toldApart is the log odds beyond which covariates tell the arms apart.
const toldApart = 25

// OverlapWeights gives each row of the treated arm the odds against being treated,
// w (1 - e), and each other row w e, with e from a logistic regression of the choice
// on x (row-major, p columns, an intercept is added) weighted by w (Li, Morgan &
// Zaslavsky 2018, J Am Stat Assoc 113:390-400). By the score equations of that
// regression the weighted means of every column of x are then the same in both arms
// (their theorem 3). An error where the regression has no maximum: the covariates
// tell the arms apart, or columns depend on each other.
func OverlapWeights(x []float64, p int, treated []bool, w []float64) ([]float64, error) {
	n := len(treated)
	if len(x) != n*p || len(w) != n {
		return nil, fmt.Errorf("stats: %d values and %d weights for %d rows of %d columns", len(x), len(w), n, p)
	}
	scale := make([]float64, p+1)
	scale[0] = 1
	for i, v := range x {
		scale[1+i%p] = max(scale[1+i%p], math.Abs(v))
	}
	row := func(i int, into []float64) []float64 {
		into[0] = 1
		for j := range p {
			if into[1+j] = 0; scale[1+j] > 0 {
				into[1+j] = x[i*p+j] / scale[1+j]
			}
		}
		return into
	}
	coef, step, r := make([]float64, p+1), make([]float64, p+1), make([]float64, p+1)
	for range mostSteps {
		score, information := make([]float64, p+1), make([]float64, (p+1)*(p+1))
		for i := range n {
			z := row(i, r)
			eta := numeric.Dot(z, coef)
			if math.Abs(eta) > toldApart {
				return nil, errors.New("stats: the covariates tell the arms apart")
			}
			e, t := 1/(1+math.Exp(-eta)), 0.0
			if treated[i] {
				t = 1
			}
			numeric.Axpy(w[i]*(t-e), z, score)
			numeric.AddOuter(w[i]*e*(1-e), z, information)
		}
		numeric.Mirror(p+1, information)
		if !numeric.CholeskySolve(p+1, information, score, step) {
			return nil, errors.New("stats: covariates of the choice depend on each other")
		}
		size := 0.0
		for j := range coef {
			coef[j] += step[j]
			size = max(size, math.Abs(step[j]))
		}
		if size < 1e-11 {
			out := make([]float64, n)
			for i := range out {
				e := 1 / (1 + math.Exp(-numeric.Dot(row(i, r), coef)))
				if out[i] = w[i] * e; treated[i] {
					out[i] = w[i] * (1 - e)
				}
			}
			return out, nil
		}
	}
	return nil, errors.New("stats: the regression of the choice does not converge")
}
