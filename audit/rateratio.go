package audit

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/ingest/casebook"
)

// rateRatio compares the refinements of completed cases whose initial features
// were mainly clinician-designed with those mainly software-suggested, by
// Poisson regression with the CR2 variance (right whatever the dispersion):
// unadjusted, and adjusted for what was planned and the recorded covariates.
func (p *prepared) rateRatio(r *results.Refinements, all []finishedCase) {
	var cases []finishedCase
	n := map[casebook.Style]int{}
	for _, c := range all {
		if c.main != casebook.NoStyle {
			cases = append(cases, c)
			n[c.main]++
		}
	}
	need := p.settings.MinIntervalCases
	if s, c := n[casebook.SoftwareSuggested], n[casebook.ClinicianDesigned]; s < need || c < need {
		r.Warnings = append(r.Warnings, fewInArms(need))
		return
	}
	unadjusted, err := p.fitRates(cases, nil)
	if err != nil {
		r.Warnings = append(r.Warnings, notEstimated(err))
		return
	}
	adjusters, left := chosen(p.caseCandidates(cases), len(cases))
	adjusted, err := p.fitRates(cases, adjusters)
	if err != nil {
		r.Warnings = append(r.Warnings, notEstimated(err))
		return
	}
	r.RateUnadj, r.RateRatio, r.Model = difference(unadjusted), difference(adjusted), adjusted.Method
	r.Warnings = append(r.Warnings, warnings(adjusted.Warnings)...)
	for _, a := range adjusters {
		r.Adjusters = append(r.Adjusters, a.name)
	}
	if len(left) > 0 {
		r.NotAdjusted = left
		r.Warnings = append(r.Warnings, leftOut())
	}
}

func (p *prepared) fitRates(cases []finishedCase, adjusters []adjuster) (stats.Estimate, error) {
	names := []string{"intercept"}
	var cols [][]float64
	for _, a := range adjusters {
		for _, c := range a.cols {
			names, cols = append(names, c.name), append(cols, c.values)
		}
	}
	names = append(names, treatment)
	m := glm.CountModel{Names: names}
	for i, c := range cases {
		m.X = append(m.X, 1)
		for _, col := range cols {
			m.X = append(m.X, col[i])
		}
		designed := 0.0
		if c.main == casebook.ClinicianDesigned {
			designed = 1
		}
		m.X, m.Y = append(m.X, designed), append(m.Y, float64(c.refinements))
	}
	fit, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	if err != nil {
		return stats.Estimate{}, err
	}
	contrast := make([]float64, len(names))
	contrast[len(names)-1] = 1
	return fit.RateRatio(contrast, p.settings.Level), nil
}

// casePlan sums up what the initial course of a case asked for. Amounts are in
// multiples of the smallest meaningful plan, so that millimetres and degrees
// may be averaged.
type casePlan struct {
	movements int
	multiples float64
}

func (p *prepared) casePlans() []casePlan {
	plans := make([]casePlan, len(p.cases))
	for i, m := range p.order {
		if m.Course <= 1 && p.meaningful(m) {
			c := &plans[p.clusterOf[i]]
			c.movements++
			c.multiples += math.Abs(m.Planned) / p.settings.Smallest(m.Axis.Unit())
		}
	}
	return plans
}

// caseCandidates are the adjusters of the refinement rate, one row a case.
func (p *prepared) caseCandidates(cases []finishedCase) []adjuster {
	plans := p.casePlans()
	// One row a case, all of one weight, is all the builder needs to know.
	b := &adjusterBuilder{p: &prepared{}}
	for i, c := range cases {
		b.p.analysed = append(b.p.analysed, row{cluster: c.patient, planned: 1})
		b.rows = append(b.rows, int32(i))
	}
	log := func(r *row) *casebook.Case { return p.log(r) }
	b.number("planned movements", func(r *row) (float64, bool) { return float64(plans[r.cluster].movements), true })
	b.number("mean planned amount", func(r *row) (float64, bool) {
		c := plans[r.cluster]
		return c.multiples / float64(c.movements), c.movements > 0
	})
	b.words("wear", func(r *row) int { return int(log(r).Wear) })
	b.words("clinician", func(r *row) int { return p.clinician(r) })
	b.number("planned aligners", func(r *row) (float64, bool) { a := log(r).PlannedAligners; return float64(a.Value), a.OK })
	b.number("age band", func(r *row) (float64, bool) { a := log(r).AgeBand; return float64(a), a != casebook.NoAgeBand })
	return b.out
}
