package between

import (
	"context"
	"fmt"
	"math"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// stratumKey names a group of like movements: same axis, direction and course by the
// cell, then tooth class, size of the plan and wear recorded before the outcome.
type stratumKey struct {
	class casebook.ToothClass
	size  int // doublings of the smallest meaningful plan
	wear  casebook.Wear
}

func stratumOf(p *rows.Set, r *rows.Row) stratumKey {
	doublings := math.Floor(math.Log2(r.Planned / p.Settings.Smallest(r.Unit())))
	return stratumKey{r.Class, int(doublings), p.WearBefore(r)}
}

// mostStrata and manyCases: beyond them an indicator for each stratum would
// cost more than it is worth, and strata are taken out by weighted means
// instead: the same estimate, its error without the correction for the strata,
// which is small there.
const (
	mostStrata = 40
	manyCases  = 400
)

// MatchedAll sets the matched difference beside the model for every comparison
// that the grid could make.
func MatchedAll(ctx context.Context, p *rows.Set, cs []results.Comparison) ([]results.Matched, error) {
	var shown []*results.Comparison
	for i := range cs {
		if c := &cs[i]; (c.By.Arch == casebook.NoArch || c.Primary) && c.Verdict != results.NotComparable && betweenReading(c).Difference.OK() {
			shown = append(shown, c)
		}
	}
	out := make([]results.Matched, len(shown))
	err := parallel.Do(ctx, len(shown), func() func(int) {
		return func(i int) { out[i] = Matched(p, shown[i], FeaturedRows(p, shown[i].By)) }
	})
	return out, err
}

// betweenReading is the difference of the adjusted reading between patients, the
// model that matched strata stand beside.
func betweenReading(c *results.Comparison) results.Difference {
	for _, r := range c.Readings {
		if r.ID == results.BetweenPatients {
			return r.Difference
		}
	}
	return measure.NoDifference()
}

// FeaturedRows are the places of the analysed rows of a cell that have an attachment of
// either style, in order. They are not to be changed.
func FeaturedRows(p *rows.Set, by results.By) []int32 { return featured(p, by).measured }

// weighted is the difference by overlap weighting.
func weighted(p *rows.Set, c *results.Comparison, rows []int32) (stats.Estimate, error) {
	weights, err := weightsOf(p, c.By, rows, styleTreated)
	if err != nil {
		return stats.Estimate{}, err
	}
	return overlapWeighted(p, rows, styleTreated, weights)
}

// strataOf numbers the strata that hold both styles from 1, and gives the number of that of
// each row, 0 for the other strata.
func strataOf(p *rows.Set, rows []int32, arena *stats.Arena) (number []int, strata, both int) {
	index, arms := map[stratumKey]int{}, [][2]int{}
	number = arena.Places(len(rows))
	for j, i := range rows {
		r := &p.Analysed[i]
		stratum := stratumOf(p, r)
		k, known := index[stratum]
		if !known {
			k = len(arms)
			index[stratum], arms = k, append(arms, [2]int{})
		}
		number[j] = k
		arms[k][measure.OneIf(r.Style == casebook.ClinicianDesigned)]++
	}
	of := make([]int, len(arms))
	for k, n := range arms {
		if n[0] > 0 && n[1] > 0 {
			both++
			of[k] = both
		}
	}
	for j, k := range number {
		number[j] = of[k]
	}
	return number, len(arms), both
}

// Matched compares the styles inside strata: expression on style and stratum,
// weighted by planned amount, over the strata that hold both. Strata weigh as
// w1 w0 / (w1 + w0) with w the planned totals of the arms.
func Matched(p *rows.Set, c *results.Comparison, rows []int32) results.Matched {
	out := results.Matched{By: c.By, Model: betweenReading(c), Matched: measure.NoDifference(), Weighted: measure.NoDifference(), Verdict: results.NotComparable}
	if n := armCases(p, rows); (c.By.WholeDirection() || c.Primary) && min(n[0], n[1]) >= p.Settings.MinIntervalCases {
		if e, err := weighted(p, c, rows); err != nil {
			out.Warnings = append(out.Warnings, results.Warning{ID: "not-weighted", Text: "no overlap weights: " + strings.TrimPrefix(err.Error(), "stats: "), Remedy: "read the model"})
		} else {
			out.Weighted = measure.Difference(e)
		}
	}
	arena := borrow(p)
	defer giveBack(p, arena)
	number, strata, both := strataOf(p, rows, arena)
	out.Strata, out.Both = strata, both
	m := MatchedModel{P: p, Strata: both}
	m.grow(len(rows), arena)
	for j, i := range rows {
		if number[j] == 0 {
			out.Outside++
			continue
		}
		out.Inside++
		m.Add(&p.Analysed[i], number[j]-1)
	}
	out.Cases = measure.CountRuns(m.Cluster)
	if cases := m.armCases(); min(cases[0], cases[1]) < p.Settings.MinIntervalCases {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "few-matched", Text: fmt.Sprintf("needs %d cases of each style inside strata that hold both; software-suggested %d, clinician-designed %d so far",
				p.Settings.MinIntervalCases, cases[0], cases[1]),
			Remedy: "record more cases, or read the model",
		})
		return out
	}
	e, err := m.Fit()
	if err != nil {
		out.Warnings = append(out.Warnings, measure.NotEstimated(err))
		return out
	}
	out.Matched = measure.Difference(e)
	out.Warnings = append(out.Warnings, measure.Warnings(e.Warnings)...)
	out.Verdict = out.Matched.Verdict()
	return out
}

// MatchedModel is the data of one matched comparison.
type MatchedModel struct {
	P                   *rows.Set
	Y, Weights, Treated []float64
	Cluster, stratum    []int
	Strata              int
	arena               *stats.Arena // nil: own memory
}

// grow lends room for so many rows, and for the fit.
func (m *MatchedModel) grow(n int, arena *stats.Arena) {
	m.arena = arena
	m.Y, m.Weights, m.Treated = arena.Room(n)[:0], arena.Room(n)[:0], arena.Room(n)[:0]
	m.Cluster, m.stratum = arena.Places(n)[:0], arena.Places(n)[:0]
}

func (m *MatchedModel) Add(r *rows.Row, stratum int) {
	m.Y, m.Weights = append(m.Y, r.Expression()), append(m.Weights, r.Planned)
	m.Treated = append(m.Treated, float64(measure.OneIf(r.Style == casebook.ClinicianDesigned)))
	m.Cluster, m.stratum = append(m.Cluster, r.Cluster), append(m.stratum, stratum)
}

func (m *MatchedModel) armCases() (n [2]int) {
	last := [2]int{-1, -1}
	for i, c := range m.Cluster {
		if arm := int(m.Treated[i]); last[arm] != c {
			n[arm], last[arm] = n[arm]+1, c
		}
	}
	return n
}

func (m *MatchedModel) Fit() (stats.Estimate, error) {
	model := stats.LinearModel{Y: m.Y, Weights: m.Weights, Cluster: m.Cluster, Arena: m.arena}
	contrast := []float64{1}
	if m.Strata <= mostStrata && measure.CountRuns(m.Cluster) <= manyCases {
		model.Names = []string{"style"}
		for k := range m.Strata {
			model.Names = append(model.Names, fmt.Sprintf("stratum %d", k+1))
		}
		for i, t := range m.Treated {
			row := make([]float64, 1+m.Strata)
			row[0], row[1+m.stratum[i]] = t, 1
			model.X = append(model.X, row...)
		}
		contrast = append(contrast, make([]float64, m.Strata)...)
	} else {
		model.Names, model.X, model.Y = []string{"style"}, m.Within(m.Treated), m.Within(m.Y)
	}
	fit, err := robust.FitLinear(model, stats.CR2)
	if err != nil {
		return stats.Estimate{}, err
	}
	return fit.Contrast(contrast, m.P.Settings.Level), nil
}

// Within takes the weighted mean of its stratum from each value (Frisch &
// Waugh 1933, Econometrica 1:387-401): the same estimate as with indicators.
func (m *MatchedModel) Within(v []float64) []float64 {
	sum, weight := make([]float64, m.Strata), make([]float64, m.Strata)
	for i, k := range m.stratum {
		sum[k] += m.Weights[i] * v[i]
		weight[k] += m.Weights[i]
	}
	out := m.arena.Room(len(v))
	for i, k := range m.stratum {
		out[i] = v[i] - sum[k]/weight[k]
	}
	return out
}
