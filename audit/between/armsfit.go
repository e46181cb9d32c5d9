package between

import (
	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
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
	Failed               *results.Warning // why the model gives no comparison
}

// FitGroups fits expression = achieved/planned with weights = planned, so that
// every coefficient is in expression and the model without adjusters gives
// exactly the difference of the two ratios of sums. The variance is CR2 by
// case with Satterthwaite degrees of freedom (Bell & McCaffrey 2002, Surv
// Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683).
func FitGroups(p *rows.Set, rows []int32, g *Grouping) armsFit {
	arena := borrow(p)
	defer giveBack(p, arena)
	return fitGroups(p, rows, g, candidates(p, rows, g, arena), arena)
}

// fitGroups is FitGroups with the candidates to adjust for.
func fitGroups(p *rows.Set, rows []int32, g *Grouping, of []Adjuster, arena *stats.Arena) armsFit {
	f := armsFit{unadjusted: measure.NoDifference(), adjusted: measure.NoDifference(), means: [2]results.Number{results.NotEstimable, results.NotEstimable}}
	m := newModel(p, rows, g.Group, arena)
	e, _, err := m.fit(nil, p.Settings.Level)
	if err != nil {
		f.Failed = modelFailed(err.Error())
		return f
	}
	f.unadjusted = measure.Difference(e)
	adjusters, left := Chosen(of, measure.CountRuns(m.cluster))
	e, means, err := m.fit(adjusters, p.Settings.Level)
	if err != nil {
		f.Failed = modelFailed(err.Error())
		return f
	}
	f.adjusted, f.means, f.status, f.left, f.warnings = measure.Difference(e), means, m.status, left, measure.Warnings(e.Warnings)
	for _, a := range adjusters {
		f.adjusters = append(f.adjusters, a.Name)
	}
	if len(left) > 0 {
		f.warnings = append(f.warnings, LeftOut())
	}
	f.Failed = Usable(e)
	return f
}

// unadjusted is the difference of the two ratios of sums alone.
func unadjusted(p *rows.Set, which []int32, group func(*rows.Row) bool) results.Difference {
	arena := borrow(p)
	defer giveBack(p, arena)
	e, _, err := newModel(p, which, group, arena).fit(nil, p.Settings.Level)
	if err != nil {
		return measure.NoDifference()
	}
	return measure.Difference(e)
}

// borrow gives memory for a fit: nothing of it stays in results.
func borrow(p *rows.Set) *stats.Arena {
	if arena, ok := p.Shelf.Take().(*stats.Arena); ok {
		return arena
	}
	return new(stats.Arena)
}

// mostKept are the numbers (64 MB) up to which memory is kept for the next fit: what a
// fit of all rows took would lie there for the rest of the audit.
const mostKept = 1 << 23

func giveBack(p *rows.Set, arena *stats.Arena) {
	if arena.Held() > mostKept {
		return
	}
	arena.Reset()
	p.Shelf.Put(arena)
}

// FewestDF is the smallest degrees of freedom a verdict rests on.
const FewestDF = compare.FewestDF

// Usable says why an estimate carries no verdict; nil where it does.
func Usable(e stats.Estimate) *results.Warning {
	switch {
	case !measure.OrMissing(e.SE).OK() || e.SE == 0:
		return modelFailed("the difference has no standard error")
	case e.DF < FewestDF:
		return &results.Warning{
			ID: "few-degrees-of-freedom", Text: "fewer than 4 degrees of freedom: a few cases carry the comparison",
			Remedy: "record more cases in both styles",
		}
	}
	return nil
}
