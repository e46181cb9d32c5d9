package audit

import (
	"slices"
	"sync"

	"shortfall/audit/results"
	"shortfall/audit/stats"
)

// armsFit is the weighted linear model of expression on a choice of two.
type armsFit struct {
	unadjusted, adjusted results.Difference
	means                [2]results.Number // adjusted mean expression, untreated and treated
	adjusters            []string
	left                 []string // candidates there was no room for
	status               string
	warnings             []results.Warning
	failed               *results.Warning // why the model gives no comparison
}

// fitGroups fits expression = achieved/planned with weights = planned, so that
// every coefficient is in expression and the model without adjusters gives
// exactly the difference of the two ratios of sums. The variance is CR2 by
// case with Satterthwaite degrees of freedom (Bell & McCaffrey 2002, Surv
// Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683).
// The grouping's own adjusters enter first, then the recorded covariates.
func (p *prepared) fitGroups(rows []int32, g *grouping) armsFit {
	f := armsFit{unadjusted: noDifference(), adjusted: noDifference(), means: [2]results.Number{results.NotEstimable, results.NotEstimable}}
	arena := fitArenas.Get().(*stats.Arena)
	defer func() {
		arena.Reset()
		fitArenas.Put(arena)
	}()
	m := p.newModel(rows, g.group, arena)
	e, _, err := m.fit(nil, p.settings.Level)
	if err != nil {
		f.failed = modelFailed(err.Error())
		return f
	}
	f.unadjusted = difference(e)
	own, candidates := p.adjustersOf(rows, g, arena)
	adjusters, left := chosen(candidates, countRuns(m.cluster))
	e, means, err := m.fit(adjusters, p.settings.Level)
	if err != nil {
		f.failed = modelFailed(err.Error())
		return f
	}
	f.adjusted, f.means, f.status, f.left, f.warnings = difference(e), means, m.status, left, warnings(e.Warnings)
	for _, a := range adjusters {
		f.adjusters = append(f.adjusters, a.name)
	}
	if len(left) > 0 {
		f.warnings = append(f.warnings, leftOut())
	}
	f.failed = usable(e)
	if g.required && slices.ContainsFunc(left, func(name string) bool { return slices.Contains(own, name) }) {
		f.failed = &results.Warning{ID: "essential-not-adjusted", Text: "too few cases to adjust for what the comparison rests on", Remedy: "record more cases"}
	}
	return f
}

// fitArenas keep the memory of the fits: nothing of it stays in an armsFit.
var fitArenas = sync.Pool{New: func() any { return new(stats.Arena) }}

// adjustersOf lists a grouping's own adjusters, by name too, and after them
// the recorded covariates it did not bring itself.
func (p *prepared) adjustersOf(rows []int32, g *grouping, arena *stats.Arena) (own []string, all []adjuster) {
	if g.adjusters != nil {
		all = g.adjusters(rows)
	}
	for _, a := range all {
		own = append(own, a.name)
	}
	for _, a := range p.candidates(rows, g.without, arena) {
		if !slices.Contains(own, a.name) {
			all = append(all, a)
		}
	}
	return own, all
}

// fewestDF is the smallest Satterthwaite degrees of freedom a verdict rests
// on; below 4 the approximation fails (Tipton 2015, Psychol Methods 20:375-393).
const fewestDF = 4

func usable(e stats.Estimate) *results.Warning {
	switch {
	case !orMissing(e.SE).OK() || e.SE == 0:
		return modelFailed("the difference has no standard error")
	case e.DF < fewestDF:
		return &results.Warning{
			ID: "few-degrees-of-freedom", Text: "fewer than 4 degrees of freedom: a few cases carry the comparison",
			Remedy: "record more cases in both styles",
		}
	}
	return nil
}
