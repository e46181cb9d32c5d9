package audit

import (
	"context"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// stratumKey names a group of like movements: same axis, direction and course by the
// cell, then tooth class, size of the plan and wear.
type stratumKey struct {
	class casebook.ToothClass
	size  int // doublings of the smallest meaningful plan
	wear  casebook.Wear
}

func (p *prepared) stratumOf(r *row) stratumKey {
	doublings := math.Floor(math.Log2(r.planned / p.settings.Smallest(r.unit())))
	return stratumKey{r.class, int(doublings), p.log(r).Wear}
}

// mostStrata and manyCases: beyond them an indicator for each stratum would
// cost more than it is worth, and strata are taken out by weighted means
// instead: the same estimate, its error without the correction for the strata,
// which is small there.
const (
	mostStrata = 40
	manyCases  = 400
)

// matchedAll sets the matched difference beside the model for every comparison
// that the grid could make.
func (p *prepared) matchedAll(ctx context.Context, cs []results.Comparison) ([]results.Matched, error) {
	var shown []*results.Comparison
	for i := range cs {
		if c := &cs[i]; (c.By.Arch == casebook.NoArch || c.Primary) && c.Verdict != results.NotComparable && c.Adjusted.Difference.OK() {
			shown = append(shown, c)
		}
	}
	out := make([]results.Matched, len(shown))
	lists := p.featuredLists()
	err := inParallel(ctx, len(shown), func() func(int) {
		return func(i int) { out[i] = p.matched(shown[i], lists.rows(p, shown[i].By)) }
	})
	return out, err
}

// featuredLists are the rows with a feature by direction and course.
type featuredLists [13][2][]int32

func (p *prepared) featuredLists() *featuredLists {
	var l featuredLists
	for i := range p.analysed {
		if r := &p.analysed[i]; featured(r) {
			at := &l[r.direction][1-oneIf(r.first)]
			*at = append(*at, int32(i))
		}
	}
	return &l
}

// rows of one cell, in order.
func (l *featuredLists) rows(p *prepared, by results.By) []int32 {
	var out []int32
	for _, d := range casebook.Directions() {
		if by.Direction != casebook.NoDirection && by.Direction != d {
			continue
		}
		for _, list := range l[d] {
			for _, i := range list {
				if cellHolds(by, &p.analysed[i]) {
					out = append(out, i)
				}
			}
		}
	}
	if by.Direction == casebook.NoDirection || by.Course == "" {
		slices.Sort(out)
	}
	return out
}

// matched compares the styles inside strata: expression on style and stratum,
// weighted by planned amount, over the strata that hold both. Strata weigh as
// w1 w0 / (w1 + w0) with w the planned totals of the arms.
func (p *prepared) matched(c *results.Comparison, rows []int32) results.Matched {
	out := results.Matched{By: c.By, Model: c.Adjusted, Matched: noDifference(), Verdict: results.NotComparable}
	index := map[stratumKey]int{}
	arms := [][2]int{}
	of := make([]int, len(rows))
	for j, i := range rows {
		r := &p.analysed[i]
		k, known := index[p.stratumOf(r)]
		if !known {
			k = len(arms)
			index[p.stratumOf(r)], arms = k, append(arms, [2]int{})
		}
		of[j] = k
		arms[k][oneIf(r.style == casebook.ClinicianDesigned)]++
	}
	out.Strata = len(arms)
	number := make([]int, len(arms)) // of the strata with both styles, from 1
	for k, n := range arms {
		if n[0] > 0 && n[1] > 0 {
			out.Both++
			number[k] = out.Both
		}
	}
	m := matchedModel{p: p, strata: out.Both}
	for j, i := range rows {
		if number[of[j]] == 0 {
			out.Outside++
			continue
		}
		out.Inside++
		m.add(&p.analysed[i], number[of[j]]-1)
	}
	out.Cases = countRuns(m.cluster)
	if cases := m.armCases(); min(cases[0], cases[1]) < p.settings.MinIntervalCases {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "few-matched", Text: fmt.Sprintf("needs %d cases of each style inside strata that hold both; software-suggested %d, clinician-designed %d so far",
				p.settings.MinIntervalCases, cases[0], cases[1]),
			Remedy: "record more cases, or read the model",
		})
		return out
	}
	e, err := m.fit()
	if err != nil {
		out.Warnings = append(out.Warnings, notEstimated(err))
		return out
	}
	out.Matched = difference(e)
	out.Warnings = append(out.Warnings, warnings(e.Warnings)...)
	out.Verdict = plainVerdict(out.Matched)
	return out
}

// plainVerdict reads one difference by its own interval, not corrected for
// other comparisons.
func plainVerdict(d results.Difference) results.Verdict {
	switch {
	case !d.Low.OK() || !d.High.OK():
		return results.NotComparable
	case d.Low > 0:
		return results.Higher
	case d.High < 0:
		return results.Lower
	}
	return results.NotDistinguishable
}

// matchedModel is the data of one matched comparison.
type matchedModel struct {
	p                   *prepared
	y, weights, treated []float64
	cluster, stratum    []int
	strata              int
}

func (m *matchedModel) add(r *row, stratum int) {
	m.y, m.weights = append(m.y, r.expression()), append(m.weights, r.planned)
	m.treated = append(m.treated, float64(oneIf(r.style == casebook.ClinicianDesigned)))
	m.cluster, m.stratum = append(m.cluster, r.cluster), append(m.stratum, stratum)
}

func (m *matchedModel) armCases() (n [2]int) {
	last := [2]int{-1, -1}
	for i, c := range m.cluster {
		if arm := int(m.treated[i]); last[arm] != c {
			n[arm], last[arm] = n[arm]+1, c
		}
	}
	return n
}

func (m *matchedModel) fit() (stats.Estimate, error) {
	model := stats.LinearModel{Y: m.y, Weights: m.weights, Cluster: m.cluster}
	contrast := []float64{1}
	if m.strata <= mostStrata && countRuns(m.cluster) <= manyCases {
		model.Names = []string{"style"}
		for k := range m.strata {
			model.Names = append(model.Names, fmt.Sprintf("stratum %d", k+1))
		}
		for i, t := range m.treated {
			row := make([]float64, 1+m.strata)
			row[0], row[1+m.stratum[i]] = t, 1
			model.X = append(model.X, row...)
		}
		contrast = append(contrast, make([]float64, m.strata)...)
	} else {
		model.Names, model.X, model.Y = []string{"style"}, m.within(m.treated), m.within(m.y)
	}
	fit, err := robust.FitLinear(model, stats.CR2)
	if err != nil {
		return stats.Estimate{}, err
	}
	return fit.Contrast(contrast, m.p.settings.Level), nil
}

// within takes the weighted mean of its stratum from each value (Frisch &
// Waugh 1933, Econometrica 1:387-401): the same estimate as with indicators.
func (m *matchedModel) within(v []float64) []float64 {
	sum, weight := make([]float64, m.strata), make([]float64, m.strata)
	for i, k := range m.stratum {
		sum[k] += m.weights[i] * v[i]
		weight[k] += m.weights[i]
	}
	out := make([]float64, len(v))
	for i, k := range m.stratum {
		out[i] = v[i] - sum[k]/weight[k]
	}
	return out
}
