package confound

import (
	"errors"
	"fmt"
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// mostSteps of the likelihood; it converges in fewer than ten or not at all.
const mostSteps = 50

// nearby is the length of a step from which on the information is taken as it stands: it
// changes by no more than that, so that what is left falls by as much at each step, and a
// step costs a quarter.
const nearby = 1e-3

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
	c := &choice{q: p + 1, rows: scaledRows(x, n, p), treated: treated, w: w}
	coef, err := c.solve()
	if err != nil {
		return nil, err
	}
	out := make([]float64, n)
	for i := range out {
		e := 1 / (1 + math.Exp(-numeric.Dot(c.rows[i*c.q:(i+1)*c.q], coef)))
		if out[i] = w[i] * e; treated[i] {
			out[i] = w[i] * (1 - e)
		}
	}
	return out, nil
}

// choice is the regression of a choice.
type choice struct {
	q       int
	rows    []float64 // of q numbers, as scaledRows gives them
	treated []bool
	w       []float64
}

// solve finds the coefficients by Newton's method.
func (c *choice) solve() ([]float64, error) {
	q := c.q
	coef, step, size := make([]float64, q), make([]float64, q), math.Inf(1)
	information, solved := make([]float64, q*q), make([]float64, q*q)
	for range mostSteps {
		score, into := make([]float64, q), information
		if size > nearby {
			clear(information)
		} else {
			into = nil
		}
		if err := c.sums(coef, score, into); err != nil {
			return nil, err
		}
		numeric.Mirror(q, information)
		copy(solved, information)
		if !numeric.CholeskySolve(q, solved, score, step) {
			return nil, errors.New("stats: covariates of the choice depend on each other")
		}
		size = 0
		for j := range coef {
			coef[j] += step[j]
			size = max(size, math.Abs(step[j]))
		}
		if size < 1e-11 {
			return coef, nil
		}
	}
	return nil, errors.New("stats: the regression of the choice does not converge")
}

// sums adds to the score and, where it is wanted, the information.
func (c *choice) sums(coef, score, information []float64) error {
	n, q := len(c.treated), c.q
	for from := 0; from < n; from += 4 {
		four := numeric.Quarters(c.rows[from*q:], q)
		var weight [4]float64
		for k := range min(4, n-from) {
			i := from + k
			eta := numeric.Dot(four[k], coef)
			if math.Abs(eta) > toldApart {
				return errors.New("stats: the covariates tell the arms apart")
			}
			e, t := 1/(1+math.Exp(-eta)), 0.0
			if c.treated[i] {
				t = 1
			}
			numeric.Axpy(c.w[i]*(t-e), four[k], score)
			weight[k] = c.w[i] * e * (1 - e)
		}
		if information != nil {
			numeric.AddOuter4(&weight, four, information)
		}
	}
	return nil
}

// scaledRows are n rows of p columns behind an intercept, each column over its largest
// size; three more at the end, all zero, fill the last four.
func scaledRows(x []float64, n, p int) []float64 {
	q := p + 1
	scale := make([]float64, q)
	for from := 0; from < len(x); from += p {
		for j, v := range x[from : from+p] {
			scale[1+j] = max(scale[1+j], math.Abs(v))
		}
	}
	rows := make([]float64, (n+3)*q)
	for i := range n {
		row := rows[i*q : (i+1)*q]
		row[0] = 1
		for j := 1; j < q; j++ {
			if scale[j] > 0 {
				row[j] = x[i*p+j-1] / scale[j]
			}
		}
	}
	return rows
}
