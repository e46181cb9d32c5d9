package between

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// styleModel is the data of one comparison; fit adds columns to it.
type styleModel struct {
	y, weights, treated []float64
	cluster             []int
	status              string // how the last fit ended
	inverse             bool   // the root of CR2 is taken on weighted rows
	arena               *stats.Arena
}

func newModel(p *rows.Set, rows []int32, treated func(*rows.Row) bool, arena *stats.Arena) *styleModel {
	n := len(rows)
	m := &styleModel{y: arena.Room(n), weights: arena.Room(n), treated: arena.Floats(n), cluster: make([]int, n), arena: arena, inverse: p.Settings.CR2Root != results.EqualVariances}
	for j, i := range rows {
		r := &p.Analysed[i]
		m.y[j], m.weights[j], m.cluster[j] = r.Expression(), r.Planned, r.Cluster
		if treated(r) {
			m.treated[j] = 1
		}
	}
	return m
}

// Treatment names the column of the choice that is compared.
const Treatment = "choice compared"

// fit gives the difference between the arms and their adjusted means: the
// model's predictions averaged over all rows, weighted by planned amount, with
// the treatment set to each arm (marginal standardisation; Muller & MacLehose
// 2014, Int J Epidemiol 43:962-970). The adjusters are centred on those
// weighted means, so that the standardised means are the intercept and the
// intercept plus the difference.
func (m *styleModel) fit(adjusters []Adjuster, level float64) (diff stats.Estimate, means [2]results.Number, err error) {
	means = [2]results.Number{results.NotEstimable, results.NotEstimable}
	names := []string{"intercept"}
	var cols [][]float64
	for _, a := range adjusters {
		for _, c := range a.Cols {
			names, cols = append(names, c.Name), append(cols, c.Values)
		}
	}
	// The treatment comes last: where the adjusters determine it, it is the
	// column that is dropped, and there is no comparison.
	names, cols = append(names, Treatment), append(cols, m.treated)
	x := m.arena.Room(len(names) * len(m.y))[:0]
	for i := range m.y {
		x = append(x, 1)
		for _, c := range cols {
			x = append(x, c[i])
		}
	}
	fit, err := robust.FitLinear(stats.LinearModel{Names: names, X: x, Y: m.y, Weights: m.weights, Cluster: m.cluster, InverseVariance: m.inverse, Arena: m.arena}, stats.CR2)
	if err != nil {
		return stats.Estimate{}, means, err
	}
	if slices.Contains(fit.Dropped, Treatment) {
		return stats.Estimate{}, means, fmt.Errorf("the choice is fully determined by the recorded covariates")
	}
	contrast := make([]float64, len(names))
	contrast[len(names)-1] = 1
	diff = fit.Contrast(contrast, level)
	base := fit.Coef[0]
	means = [2]results.Number{measure.OrMissing(base), measure.OrMissing(base + diff.Value)}
	m.status = fitStatus(fit.Dropped)
	return diff, means, nil
}

func fitStatus(dropped []string) string {
	if len(dropped) == 0 {
		return "solved"
	}
	return "solved; left out because other columns determine them: " + strings.Join(dropped, ", ")
}

func modelFailed(why string) *results.Warning {
	return &results.Warning{ID: "not-estimable", Text: "the model cannot be estimated: " + why, Remedy: "record more cases in both styles"}
}

// LeftOut and leftOutWithin say the same for every cell, so that a page
// carries each once; the names and the numbers of cases stand with the comparison.
func LeftOut() results.Warning {
	return leftOut(fmt.Sprintf("that takes %d cases for each thing adjusted for", casesPerTerm))
}

func leftOutWithin() results.Warning {
	return leftOut(fmt.Sprintf("that takes %d movements, beyond the first of each mouth, for each column adjusted for", compare.MovementsPerColumn))
}

func leftOut(why string) results.Warning {
	return results.Warning{
		ID: "adjusters-left-out", Text: "not adjusted for everything on record: " + why,
		Remedy: "read beside the comparison what was adjusted for, and record more cases",
	}
}
