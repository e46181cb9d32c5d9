package between

import (
	"errors"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/robust"
)

// overlapWeighted compares the choices between patients by overlap weighting, the
// named alternative to the model: movements count as far as the recorded covariates
// leave open which choice they had, and the covariates are then balanced. The
// variance is CR2 by case with the weights taken as known, which errs towards a wide
// interval (Li, Thomas & Li 2019, Am J Epidemiol 188:250-257, from memory). weights
// are one a row; nil with an error.
func overlapWeighted(p *rows.Set, which []int32, treated func(*rows.Row) bool) (e stats.Estimate, weights []float64, err error) {
	n := len(which)
	m := stats.LinearModel{Names: []string{"intercept", Treatment}, X: make([]float64, 0, 2*n), InverseVariance: p.Settings.CR2Root != results.EqualVariances}
	choice, planned := make([]bool, n), make([]float64, n)
	for j, i := range which {
		r := &p.Analysed[i]
		choice[j], planned[j] = treated(r), r.Planned
		m.X = append(m.X, 1, float64(measure.OneIf(choice[j])))
		m.Y, m.Cluster = append(m.Y, r.Expression()), append(m.Cluster, r.Cluster)
	}
	adjusters, _ := Chosen(candidates(p, which, &Grouping{Group: treated}, nil), measure.CountRuns(m.Cluster))
	var cols [][]float64
	for _, a := range adjusters {
		for _, c := range a.Cols {
			cols = append(cols, c.Values)
		}
	}
	if len(cols) == 0 {
		return e, nil, errors.New("no covariate to weight by")
	}
	x := make([]float64, 0, n*len(cols))
	for j := range which {
		for _, c := range cols {
			x = append(x, c[j])
		}
	}
	if weights, err = confound.OverlapWeights(x, len(cols), choice, planned); err != nil {
		return e, nil, err
	}
	m.Weights = weights
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		return e, nil, err
	}
	return fit.Contrast([]float64{0, 1}, p.Settings.Level), weights, nil
}
