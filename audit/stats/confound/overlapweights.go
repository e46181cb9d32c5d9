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
	q, rows := p+1, scaledRows(x, n, p)
	coef, step := make([]float64, q), make([]float64, q)
	for range mostSteps {
		score, information := make([]float64, q), make([]float64, q*q)
		for from := 0; from < n; from += 4 {
			four := numeric.Quarters(rows[from*q:], q)
			var weight [4]float64
			for k := range min(4, n-from) {
				i := from + k
				eta := numeric.Dot(four[k], coef)
				if math.Abs(eta) > toldApart {
					return nil, errors.New("stats: the covariates tell the arms apart")
				}
				e, t := 1/(1+math.Exp(-eta)), 0.0
				if treated[i] {
					t = 1
				}
				numeric.Axpy(w[i]*(t-e), four[k], score)
				weight[k] = w[i] * e * (1 - e)
			}
			numeric.AddOuter4(&weight, four, information)
		}
		numeric.Mirror(q, information)
		if !numeric.CholeskySolve(q, information, score, step) {
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
				e := 1 / (1 + math.Exp(-numeric.Dot(rows[i*q:(i+1)*q], coef)))
				if out[i] = w[i] * e; treated[i] {
					out[i] = w[i] * (1 - e)
				}
			}
			return out, nil
		}
	}
	return nil, errors.New("stats: the regression of the choice does not converge")
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
