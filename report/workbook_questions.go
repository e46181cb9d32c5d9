package report

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// questions writes a sheet for each answer, every row of it, so that the PDF
// may print only what was judged. Sheets of questions not asked keep their
// header: a reader then sees that there was nothing, not that it was left out.
func (b *book) questions(r *results.Results) {
	q := &r.Questions
	b.byPlan(q.ByPlan)
	b.balance(r.Comparisons)
	b.paths(q.Switches.Paths)
	b.groups("switched against kept", q.Switches.Contrasts)
	b.groups("staging", q.Staging.Comparisons)
	b.loads(q.Staging.Loads)
	b.groups("orientation", q.Fit.Comparisons)
	b.groups("attachment or none", q.Attachment.Comparisons)
	b.groups("shapes", q.Shape.Shapes)
	b.groups("sizes", q.Shape.Sizes)
	b.doubtful(q.Doubtful.List)
	b.matched(q.CaseMix.Matched)
	b.sensitivity(q.CaseMix.Sensitivity)
	b.inTime("quarter", q.Quarter)
	b.reaudit(q.Reaudit)
	b.funnels(q.Funnels)
	b.outlook(q.Outlook)
	b.lossRates(q.LossRates)
}

// differences are the columns of a difference of two arms.
func differences[T any](name string, of func(T) results.Difference) []column[T] {
	n := func(head string, v func(results.Difference) results.Number) column[T] {
		return column[T]{name + head, 13, func(t T) any { return v(of(t)) }}
	}
	return []column[T]{
		n("", func(d results.Difference) results.Number { return d.Difference }),
		n(": low", func(d results.Difference) results.Number { return d.Low }), n(": high", func(d results.Difference) results.Number { return d.High }),
		n(": standard error", func(d results.Difference) results.Number { return d.SE }), n(": df", func(d results.Difference) results.Number { return d.DF }),
		n(": P", func(d results.Difference) results.Number { return d.P }), n(": P corrected", func(d results.Difference) results.Number { return d.PAdjusted }),
	}
}

// spreads are the columns of a value and its interval.
func spreads[T any](name string, of func(T) results.Spread) []column[T] {
	return []column[T]{
		{name, 13, func(t T) any { return of(t).Value }},
		{name + ": low", 11, func(t T) any { return of(t).Low }},
		{name + ": high", 11, func(t T) any { return of(t).High }},
	}
}

// shown hides the numbers of rows that are not to leave the practice.
func shown[T any](hidden func(T) bool, cols []column[T]) []column[T] {
	out := make([]column[T], len(cols))
	for i, c := range cols {
		out[i] = column[T]{c.head, c.width, func(t T) any { return blankIf(hidden(t), c.value(t)) }}
	}
	return out
}

func (b *book) byPlan(bins []results.PlanBin) {
	type bin = results.PlanBin
	cols := append([]column[bin]{
		{"axis", 20, func(x bin) any { return x.Axis.String() }},
		{"unit", 8, func(x bin) any { return x.Unit.String() }},
		{"style", 22, func(x bin) any { return wording.Style(x.Style) }},
		{"planned from (unit)", 11, func(x bin) any { return x.From }},
		{"planned below (unit)", 11, func(x bin) any { return x.To }},
	}, shown(func(x bin) bool { return x.Suppressed }, []column[bin]{
		{"cases", 11, func(x bin) any { return x.Cases }},
		{"movements", 11, func(x bin) any { return x.Movements }},
		{"planned: median (unit)", 12, func(x bin) any { return x.Planned }},
		{"achieved: median (unit)", 12, func(x bin) any { return x.Achieved }},
		{"achieved: lower quartile (unit)", 12, func(x bin) any { return x.Low }},
		{"achieved: upper quartile (unit)", 12, func(x bin) any { return x.High }},
	})...)
	sheet(b, "planned and achieved", bins, append(cols,
		column[bin]{"suppressed", 11, func(x bin) any { return x.Suppressed }},
		column[bin]{"warnings", 60, func(x bin) any { return warningText(x.Warnings) }}))
}

// balanced is a covariate with the comparison it belongs to.
type balanced struct {
	by results.By
	results.Balance
	overlap results.Number
}

func (b *book) balance(cs []results.Comparison) {
	rows := []balanced{}
	for _, c := range cs {
		for _, x := range c.Balance {
			rows = append(rows, balanced{c.By, x, c.Overlap.ShareInside})
		}
	}
	sheet(b, "balance", rows, append(byColumns(func(x balanced) results.By { return x.by }, false),
		column[balanced]{"covariate", 30, func(x balanced) any { return x.Covariate }},
		column[balanced]{"clinician-designed: mean or share", 13, func(x balanced) any { return x.Clinician }},
		column[balanced]{"software-suggested: mean or share", 13, func(x balanced) any { return x.Software }},
		column[balanced]{"standardised difference", 13, func(x balanced) any { return x.SMD }},
		column[balanced]{"overlap of plans (share)", 13, func(x balanced) any { return x.overlap }}))
}

func (b *book) doubtful(list []results.DoubtfulAmount) {
	type amount = results.DoubtfulAmount
	sheet(b, "doubtful amounts", list, []column[amount]{
		{"case", 14, func(x amount) any { return text(x.Case) }},
		{"course", 8, func(x amount) any { return x.Course }},
		{"tooth", 8, func(x amount) any { return int(x.Tooth) }},
		{"movement", 18, func(x amount) any { return x.Direction.String() }},
		{"planned (unit)", 11, func(x amount) any { return x.Planned }},
		{"achieved (unit)", 11, func(x amount) any { return x.Achieved }},
		{"unit", 8, func(x amount) any { return x.Unit.String() }},
		{"why", 40, func(x amount) any { return x.Doubt }},
		{"touches", 60, func(x amount) any { return text(x.Touches) }},
	})
}

func (b *book) paths(ps []results.SwitchPath) {
	type path = results.SwitchPath
	numbers := slices.Concat(
		[]column[path]{
			{"cases", 11, func(x path) any { return x.Cases }}, {"movements", 11, func(x path) any { return x.Movements }},
		},
		spreads("first course (ratio)", func(x path) results.Spread { return x.First }),
		spreads("next course (ratio)", func(x path) results.Spread { return x.Next }),
		spreads("change (ratio)", func(x path) results.Spread { return x.Change }),
		[]column[path]{
			{"P of the change, not corrected", 12, func(x path) any { return x.PairedP }},
			{"expected without effect (ratio)", 12, func(x path) any { return x.Expected.Change }},
			{"expected at most (ratio)", 12, func(x path) any { return x.Expected.AtMost }},
			{"reliability", 11, func(x path) any { return x.Expected.Reliability }},
		})
	cols := append([]column[path]{
		{"axis", 20, func(x path) any { return x.Axis.String() }},
		{"style of the course that fell short", 22, func(x path) any { return wording.Style(x.From) }},
		{"style of the next course", 22, func(x path) any { return wording.Style(x.To) }},
	}, shown(func(x path) bool { return x.Suppressed }, numbers)...)
	sheet(b, "switch paths", ps, append(cols,
		column[path]{"suppressed", 11, func(x path) any { return x.Suppressed }},
		column[path]{"warnings", 60, func(x path) any { return warningText(x.Warnings) }}))
}

// groups writes a family of two-group comparisons.
func (b *book) groups(name string, cs []results.GroupComparison) {
	type group = results.GroupComparison
	arms := func(who string, of func(group) results.GroupArm) []column[group] {
		return []column[group]{
			{who + ": cases", 11, func(c group) any { return of(c).Cases }},
			{who + ": movements", 11, func(c group) any { return of(c).Movements }},
			{who + ": mean planned (unit)", 13, func(c group) any { return of(c).MeanPlanned }},
			{who + ": expression (ratio)", 13, func(c group) any { return of(c).Expression }},
		}
	}
	numbers := slices.Concat(
		arms("group", func(c group) results.GroupArm { return c.Group }), arms("reference", func(c group) results.GroupArm { return c.Reference }),
		differences("unadjusted (ratio)", func(c group) results.Difference { return c.Unadjusted }), differences("adjusted (ratio)", func(c group) results.Difference { return c.Adjusted }),
		[]column[group]{
			{"verdict", 19, func(c group) any { return string(c.Verdict) }},
			{"reading", 60, func(c group) any { return text(c.Reading) }},
			{"adjusted for", 40, func(c group) any { return text(strings.Join(c.Adjusters, ", ")) }},
			{"not adjusted for", 40, func(c group) any { return text(strings.Join(c.NotAdjusted, ", ")) }},
		})
	cols := append(byColumns(func(c group) results.By { return c.By }, true),
		column[group]{"group", 26, func(c group) any { return c.Group.Name }}, column[group]{"reference", 26, func(c group) any { return c.Reference.Name }},
		column[group]{"unit", 8, func(c group) any { return c.Unit.String() }})
	cols = append(cols, shown(func(c group) bool { return c.Suppressed }, numbers)...)
	sheet(b, name, cs, append(cols,
		column[group]{"suppressed", 11, func(c group) any { return c.Suppressed }},
		column[group]{"warnings", 60, func(c group) any { return warningText(c.Warnings) }}))
}

func (b *book) loads(ls []results.CompoundLoad) {
	type load = results.CompoundLoad
	sheet(b, "heaviest teeth", ls, []column[load]{
		{"case", 24, func(x load) any { return x.Case }},
		{"course", 11, func(x load) any { return x.Course }},
		{"tooth (FDI)", 11, func(x load) any { return int(x.Tooth) }},
		{"planned", 60, func(x load) any { return strings.Join(x.Movements, ", ") }},
		{"staging", 20, func(x load) any { return text(x.Staging) }},
		{"large movements", 11, func(x load) any { return x.Large }},
		{"load (tolerances)", 11, func(x load) any { return x.Load }},
		{"left over (tolerances)", 11, func(x load) any { return x.Residual }},
		{"not measured", 11, func(x load) any { return x.Unmeasured }},
		{"outside tolerance", 11, func(x load) any { return x.Outside }},
	})
}

func (b *book) matched(ms []results.Matched) {
	type m = results.Matched
	sheet(b, "matched strata", ms, slices.Concat(byColumns(func(x m) results.By { return x.By }, false), []column[m]{
		{"strata", 11, func(x m) any { return x.Strata }},
		{"strata with both styles", 11, func(x m) any { return x.Both }},
		{"movements inside", 11, func(x m) any { return x.Inside }},
		{"movements left out", 11, func(x m) any { return x.Outside }},
		{"cases", 11, func(x m) any { return x.Cases }},
	}, differences("matched (ratio)", func(x m) results.Difference { return x.Matched }), differences("model (ratio)", func(x m) results.Difference { return x.Model }), []column[m]{
		{"verdict", 19, func(x m) any { return string(x.Verdict) }}, {"warnings", 60, func(x m) any { return warningText(x.Warnings) }},
	}))
}

// varied is one choice with the comparison it belongs to.
type varied struct {
	by results.By
	results.SensitivityRow
}

func (b *book) sensitivity(ss []results.Sensitivity) {
	rows := []varied{}
	for _, s := range ss {
		for _, r := range s.Rows {
			rows = append(rows, varied{s.By, r})
		}
	}
	sheet(b, "sensitivity", rows, slices.Concat(byColumns(func(x varied) results.By { return x.by }, false), []column[varied]{
		{"choice", 44, func(x varied) any { return x.Choice }}, {"cases", 11, func(x varied) any { return x.Cases }}, {"movements", 11, func(x varied) any { return x.Movements }},
	}, differences("adjusted (ratio)", func(x varied) results.Difference { return x.Adjusted }), differences("outside tolerance (share)", func(x varied) results.Difference { return x.Outside }), []column[varied]{
		{"verdict by its own interval", 19, func(x varied) any { return string(x.Verdict) }},
	}))
}
