package report

import (
	"slices"
	"strings"

	"shortfall/audit/results"
)

// quarterly is a point of a run chart with the criterion it belongs to.
type quarterly struct {
	criterion string
	results.RunPoint
	centre results.Number
}

// reaudit writes the criteria, their run charts, and protocol changes.
func (b *book) reaudit(r results.Reaudit) {
	type crit = results.CriterionResult
	sheet(b, "criteria", r.Criteria, slices.Concat([]column[crit]{
		{"criterion", 40, func(c crit) any { return c.Criterion.Name }},
		{"source", 30, func(c crit) any { return text(c.Criterion.Source) }},
		{"measure", 24, func(c crit) any { return string(c.Criterion.Measure) }},
		{"at most", 11, func(c crit) any { return bound(c.Criterion.AtMost) }},
		{"at least", 11, func(c crit) any { return bound(c.Criterion.AtLeast) }},
		{"cases", 11, func(c crit) any { return c.Cases }},
		{"movements", 11, func(c crit) any { return c.Movements }},
	}, spreads("observed", func(c crit) results.Spread { return c.Observed }), []column[crit]{
		{"answer", 16, func(c crit) any { return string(c.Answer) }}, {"reading", 60, func(c crit) any { return text(c.Reading) }}, {"warnings", 60, func(c crit) any { return warningText(c.Warnings) }},
	}))
	points := []quarterly{}
	for _, c := range r.Criteria {
		for _, p := range c.Chart.Points {
			points = append(points, quarterly{c.Criterion.Name, p, c.Chart.Centre})
		}
	}
	sheet(b, "trend", points, []column[quarterly]{
		{"criterion", 40, func(p quarterly) any { return p.criterion }},
		{"quarter", 12, func(p quarterly) any { return p.Quarter }},
		{"cases", 11, func(p quarterly) any { return p.Cases }},
		{"movements", 11, func(p quarterly) any { return p.Movements }},
		{"value", 11, func(p quarterly) any { return p.Value }},
		{"control limit low", 11, func(p quarterly) any { return p.Low }},
		{"control limit high", 11, func(p quarterly) any { return p.High }},
		{"centre", 11, func(p quarterly) any { return p.centre }},
		{"baseline", 11, func(p quarterly) any { return p.Baseline }},
		{"run rule broken", 11, func(p quarterly) any { return p.Breached }},
	})
	type change = results.ChangeResult
	sheet(b, "protocol changes", r.Changes, slices.Concat([]column[change]{
		{"from month", 12, func(c change) any { return c.Change.Month.String() }},
		{"change", 40, func(c change) any { return c.Change.Description }},
		{"criterion", 40, func(c change) any { return c.Criterion }},
		{"cases before", 11, func(c change) any { return c.Before.Cases }},
		{"cases after", 11, func(c change) any { return c.After.Cases }},
	}, spreads("before", func(c change) results.Spread { return c.ValueBefore }), spreads("after", func(c change) results.Spread { return c.ValueAfter }),
		differences("difference", func(c change) results.Difference { return c.Difference }), differences("slope before, a quarter", func(c change) results.Difference { return c.SlopeBefore }),
		differences("step", func(c change) results.Difference { return c.Step }), differences("change of slope", func(c change) results.Difference { return c.SlopeChange }), []column[change]{
			{"reading", 60, func(c change) any { return text(c.Reading) }}, {"warnings", 60, func(c change) any { return warningText(c.Warnings) }},
		}))
}

// inTime writes a later part of the records against the earlier one.
func (b *book) inTime(name string, t *results.InTime) {
	if t == nil {
		return
	}
	type cell = results.CellChange
	sheet(b, name, t.Cells, slices.Concat(byColumns(func(c cell) results.By { return c.By }, false), []column[cell]{
		{"cases before", 11, func(c cell) any { return c.CasesBefore }},
		{"cases after", 11, func(c cell) any { return c.CasesAfter }},
		{"movements before", 11, func(c cell) any { return c.MovementsBefore }},
		{"movements after", 11, func(c cell) any { return c.MovementsAfter }},
		{"expression before", 11, func(c cell) any { return c.Before }},
		{"expression after", 11, func(c cell) any { return c.After }},
		{"difference", 11, func(c cell) any { return c.Change }},
		{"low", 11, func(c cell) any { return c.Low }},
		{"high", 11, func(c cell) any { return c.High }},
		{"P", 11, func(c cell) any { return c.P }},
		{"P corrected", 11, func(c cell) any { return c.PAdjusted }},
		{"beyond chance", 11, func(c cell) any { return c.Changed }},
		{"adjusted for", 40, func(c cell) any { return text(strings.Join(c.Adjusters, ", ")) }},
		{"warnings", 60, func(c cell) any { return warningText(c.Warnings) }},
	}))
}

// bound leaves a cell blank where a criterion has no such target.
func bound(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}

// unit is a point of a funnel with the measure it belongs to.
type unit struct {
	f results.Funnel
	results.FunnelPoint
}

func (b *book) funnels(fs []results.Funnel) {
	rows := []unit{}
	for _, f := range fs {
		if !f.Shown {
			continue
		}
		for _, p := range f.Points {
			rows = append(rows, unit{f, p})
		}
	}
	sheet(b, "funnel", rows, []column[unit]{
		{"measure", 40, func(u unit) any { return u.f.Measure }},
		{"units", 12, func(u unit) any { return u.f.Units }},
		{"code", 16, func(u unit) any { return u.Code }},
		{"cases", 11, func(u unit) any { return u.Cases }},
		{"total", 11, func(u unit) any { return u.Total }},
		{"events", 11, func(u unit) any { return u.Events }},
		{"effective size", 11, func(u unit) any { return u.Effective }},
		{"share", 11, func(u unit) any { return u.Value }},
		{"pooled share", 11, func(u unit) any { return u.f.Target }},
		{"outside 95 % limits", 11, func(u unit) any { return u.Beyond95 }},
		{"outside 99.8 % limits", 11, func(u unit) any { return u.Beyond998 }},
	})
}

func (b *book) outlook(o results.Outlook) {
	type ex = results.Expectation
	sheet(b, "expected results", o.Expected, slices.Concat(byColumns(func(x ex) results.By { return x.By }, false), []column[ex]{
		{"unit", 8, func(x ex) any { return x.Unit.String() }},
		{"cases", 11, func(x ex) any { return x.Cases }},
		{"movements", 11, func(x ex) any { return x.Movements }},
		{"planned (unit)", 11, func(x ex) any { return x.Planned }},
		{"expected (unit)", 11, func(x ex) any { return x.Expected }},
		{"band low (unit)", 11, func(x ex) any { return x.Low }},
		{"band high (unit)", 11, func(x ex) any { return x.High }},
		{"df", 11, func(x ex) any { return x.DF }},
		{"band held (share)", 11, func(x ex) any { return x.Held.Value }},
		{"in words", 60, func(x ex) any { return text(x.Sentence) }},
		{"warnings", 60, func(x ex) any { return warningText(x.Warnings) }},
	}))
	type un = results.Undecided
	sheet(b, "undecided", o.Undecided, slices.Concat(byColumns(func(x un) results.By { return x.By }, false), []column[un]{
		{"difference (ratio)", 11, func(x un) any { return x.Difference }},
		{"low", 11, func(x un) any { return x.Low }},
		{"high", 11, func(x un) any { return x.High }},
		{"could be seen (ratio)", 11, func(x un) any { return x.Detectable }},
		{"more cases an arm", 11, func(x un) any { return x.MoreCases }},
		{"cases a quarter, slower arm", 11, func(x un) any { return x.CasesPerQuarter }},
		{"quarters", 11, func(x un) any { return x.Quarters }},
		{"in words", 60, func(x un) any { return text(x.Sentence) }},
	}))
	type pr = results.Precision
	sheet(b, "precision", o.Precision, slices.Concat(byColumns(func(x pr) results.By { return x.By }, false), []column[pr]{
		{"cases", 11, func(x pr) any { return x.Cases }}, {"half width (ratio)", 11, func(x pr) any { return x.HalfWidth }}, {"cases for five points either way", 14, func(x pr) any { return x.CasesForFive }},
	}))
}

func (b *book) lossRates(l results.LossRates) {
	type rate = results.LossRate
	numbers := slices.Concat([]column[rate]{
		{"cases", 11, func(x rate) any { return x.Cases }}, {"features", 11, func(x rate) any { return x.Features }}, {"lost", 11, func(x rate) any { return x.Lost }}, {"months worn", 11, func(x rate) any { return x.Months }},
	}, spreads("lost in 100 months", func(x rate) results.Spread { return x.Rate }))
	cols := append([]column[rate]{
		{"features", 34, func(x rate) any { return lossName(x) }},
	}, shown(func(x rate) bool { return x.Suppressed }, numbers)...)
	sheet(b, "loss rates", l.Rates, append(cols, column[rate]{"method", 40, func(x rate) any { return text(x.Method) }},
		column[rate]{"suppressed", 11, func(x rate) any { return x.Suppressed }}, column[rate]{"warnings", 60, func(x rate) any { return warningText(x.Warnings) }}))
	ratios := []results.LossRatio{}
	if l.Ratio != nil {
		ratios = append(ratios, *l.Ratio)
	}
	sheet(b, "loss ratio", ratios, []column[results.LossRatio]{
		{"clinician-designed over software-suggested", 24, func(x results.LossRatio) any { return x.Ratio }},
		{"low", 11, func(x results.LossRatio) any { return x.Low }},
		{"high", 11, func(x results.LossRatio) any { return x.High }},
		{"P", 11, func(x results.LossRatio) any { return x.P }},
		{"method", 60, func(x results.LossRatio) any { return text(x.Method) }},
		{"warnings", 60, func(x results.LossRatio) any { return warningText(x.Warnings) }},
	})
}
