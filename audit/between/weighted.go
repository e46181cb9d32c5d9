package between

import (
	"errors"
	"slices"

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
// interval (confound's TestWeightsTakenAsKnownAreCautious).
func overlapWeighted(p *rows.Set, which []int32, treated func(*rows.Row) bool, weights []float64) (e stats.Estimate, err error) {
	n, arena := len(which), borrow(p)
	defer giveBack(p, arena)
	m := stats.LinearModel{
		Names: []string{"intercept", Treatment}, X: arena.Room(2 * n)[:0], Y: arena.Room(n)[:0], Cluster: arena.Places(n)[:0],
		InverseVariance: p.Settings.CR2Root != results.EqualVariances, Weights: weights, Arena: arena,
	}
	for _, i := range which {
		r := &p.Analysed[i]
		m.X = append(m.X, 1, float64(measure.OneIf(treated(r))))
		m.Y, m.Cluster = append(m.Y, r.Expression()), append(m.Cluster, r.Cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		return e, err
	}
	return fit.Contrast([]float64{0, 1}, p.Settings.Level), nil
}

// weightsOf are the overlap weights of a cell, as its comparison found them or anew.
func weightsOf(p *rows.Set, by results.By, which []int32, treated func(*rows.Row) bool) ([]float64, error) {
	if k, ok := p.Notes.Found(weightsOfCell(by)).(*cellWeights); ok && slices.Equal(k.which, which) {
		return k.weights, k.err
	}
	arena := borrow(p)
	defer giveBack(p, arena)
	return overlapWeights(p, which, treated, candidates(p, which, &Grouping{Group: treated}, arena), arena)
}

// weightsOfCell is what is noted; cellWeights what was found, for these rows.
type (
	weightsOfCell results.By
	cellWeights   struct {
		which   []int32
		weights []float64
		err     error
	}
)

// overlapWeights are the weights of overlapWeighted, one a row, on what there is room for
// of the candidates.
func overlapWeights(p *rows.Set, which []int32, treated func(*rows.Row) bool, of []Adjuster, arena *stats.Arena) ([]float64, error) {
	choice, planned := make([]bool, len(which)), arena.Room(len(which))
	cases, last := 0, -1
	for j, i := range which {
		r := &p.Analysed[i]
		choice[j], planned[j] = treated(r), r.Planned
		if r.Cluster != last {
			cases, last = cases+1, r.Cluster
		}
	}
	adjusters, _ := Chosen(of, cases)
	var cols [][]float64
	for _, a := range adjusters {
		for _, c := range a.Cols {
			cols = append(cols, c.Values)
		}
	}
	if len(cols) == 0 {
		return nil, errors.New("no covariate to weight by")
	}
	x := arena.Room(len(which) * len(cols))
	for k, c := range cols {
		for j, v := range c {
			x[j*len(cols)+k] = v
		}
	}
	return confound.OverlapWeights(x, len(cols), choice, planned)
}
