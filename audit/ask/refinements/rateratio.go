package refinements

import (
	"fmt"
	"math"

	"shortfall/audit/between"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/ingest/casebook"
)

// fewestRefinements of either style for a ratio of their rates: of a handful it says
// anything between a tenth and tenfold (convention of this audit).
const fewestRefinements = 10

// rateRatio compares the refinements of completed cases whose initial features
// were mainly clinician-designed with those mainly software-suggested, by
// Poisson regression with the CR2 variance (right whatever the dispersion):
// unadjusted, and adjusted for what was planned and the recorded covariates.
func rateRatio(p *rows.Set, r *results.Refinements, all []rows.FinishedCase) {
	var cases []rows.FinishedCase
	n, refinements := map[casebook.Style]int{}, map[casebook.Style]int{}
	for _, c := range all {
		if c.Main != casebook.NoStyle {
			cases = append(cases, c)
			n[c.Main]++
			refinements[c.Main] += c.Refinements
		}
	}
	need := p.Settings.MinIntervalCases
	if s, c := n[casebook.SoftwareSuggested], n[casebook.ClinicianDesigned]; s < need || c < need {
		if s+c > 0 { // else that no case has a main style is said already
			r.Warnings = append(r.Warnings, fewMain(s, c, need))
		}
		return
	}
	if few := min(refinements[casebook.SoftwareSuggested], refinements[casebook.ClinicianDesigned]); few < fewestRefinements {
		r.Warnings = append(r.Warnings, results.Warning{
			ID: results.FewRefinements, Text: fmt.Sprintf("fewer than %d refinements in one of the two styles: their rates are not compared", fewestRefinements),
			Remedy: "record more completed cases",
		})
		return
	}
	unadjusted, err := fitRates(p, cases, nil)
	if err != nil {
		r.Warnings = append(r.Warnings, measure.NotEstimated(err))
		return
	}
	adjusters, left := between.Chosen(caseCandidates(p, cases), len(cases))
	adjusted, err := fitRates(p, cases, adjusters)
	if err != nil {
		r.Warnings = append(r.Warnings, measure.NotEstimated(err))
		return
	}
	r.RateUnadj, r.RateRatio, r.Model = measure.Difference(unadjusted), measure.Difference(adjusted), adjusted.Method
	r.Warnings = append(r.Warnings, measure.Warnings(adjusted.Warnings)...)
	for _, a := range adjusters {
		r.Adjusters = append(r.Adjusters, a.Name)
	}
	if len(left) > 0 {
		r.NotAdjusted = left
		r.Warnings = append(r.Warnings, between.LeftOut())
	}
}

func fitRates(p *rows.Set, cases []rows.FinishedCase, adjusters []between.Adjuster) (stats.Estimate, error) {
	names := []string{"intercept"}
	var cols [][]float64
	for _, a := range adjusters {
		for _, c := range a.Cols {
			names, cols = append(names, c.Name), append(cols, c.Values)
		}
	}
	names = append(names, between.Treatment)
	m := glm.CountModel{Names: names}
	for i, c := range cases {
		m.X = append(m.X, 1)
		for _, col := range cols {
			m.X = append(m.X, col[i])
		}
		designed := 0.0
		if c.Main == casebook.ClinicianDesigned {
			designed = 1
		}
		m.X, m.Y = append(m.X, designed), append(m.Y, float64(c.Refinements))
	}
	fit, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	if err != nil {
		return stats.Estimate{}, err
	}
	contrast := make([]float64, len(names))
	contrast[len(names)-1] = 1
	return fit.RateRatio(contrast, p.Settings.Level), nil
}

// casePlan sums up what the initial course of a case asked for. Amounts are in
// multiples of the smallest meaningful plan, so that millimetres and degrees
// may be averaged.
type casePlan struct {
	movements int
	multiples float64
}

func casePlans(p *rows.Set) []casePlan {
	plans := make([]casePlan, len(p.Cases))
	for i, m := range p.Order {
		if m.Course <= 1 && p.Meaningful(m) {
			c := &plans[p.ClusterOf[i]]
			c.movements++
			c.multiples += math.Abs(m.Planned) / p.Settings.Smallest(m.Axis.Unit())
		}
	}
	return plans
}

// caseCandidates are the adjusters of the refinement rate, one row a case.
func caseCandidates(p *rows.Set, cases []rows.FinishedCase) []between.Adjuster {
	plans := casePlans(p)
	// One row a case, all of one weight, is all the builder needs to know.
	b := &between.AdjusterBuilder{P: &rows.Set{}}
	for i, c := range cases {
		b.P.Analysed = append(b.P.Analysed, rows.Row{Cluster: c.Patient, Planned: 1})
		b.Rows = append(b.Rows, int32(i))
	}
	log := func(r *rows.Row) *casebook.Case { return p.Log(r) }
	b.Number("planned movements", func(r *rows.Row) (float64, bool) { return float64(plans[r.Cluster].movements), true })
	b.Number("mean planned amount", func(r *rows.Row) (float64, bool) {
		c := plans[r.Cluster]
		return c.multiples / float64(c.movements), c.movements > 0
	})
	b.Words("wear recorded before", func(r *rows.Row) int { return int(p.WearBefore(r)) })
	b.Words("clinician", func(r *rows.Row) int { return p.Clinician(r) })
	b.Number("planned aligners", func(r *rows.Row) (float64, bool) { a := log(r).PlannedAligners; return float64(a.Value), a.OK })
	b.Number("age band", func(r *rows.Row) (float64, bool) { a := log(r).AgeBand; return float64(a), a != casebook.NoAgeBand })
	return b.Out
}

// fewMain says why the styles' rates are not compared: how many cases are mainly of each.
func fewMain(software, clinician, need int) results.Warning {
	w := results.Warning{ID: "few-cases-in-arm", Text: fmt.Sprintf("fewer than %d cases in one of the two main styles: their rates are not compared", need), Remedy: "record more completed cases"}
	for _, x := range []struct {
		n     int
		style casebook.Style
	}{{software, casebook.SoftwareSuggested}, {clinician, casebook.ClinicianDesigned}} {
		if x.n == 0 {
			w.Text = "no completed case with mainly " + wording.Style(x.style) + " first attachments: no rates to compare"
		}
	}
	return w
}
