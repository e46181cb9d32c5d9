package report

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/section"
)

// line is a row of a sheet of words.
type line struct {
	a, b, c string
	value   any
}

func (b *book) summary(r *results.Results) {
	rows := []line{
		{a: section.Title(r)},
		{a: section.KindOfStudy + ", " + wording.Period(r.Scope)},
		{a: wording.Capital(wording.Practices(r.Scope.Practices))},
	}
	if r.Provenance.Invented {
		rows = append(rows, line{a: "Invented data: every case, number and code is made up for demonstration."})
	}
	rows = append(rows,
		line{a: "Cases analysed", value: r.Scope.Cases}, line{a: "Planned movements analysed", value: r.Scope.Movements},
		line{a: "Teeth", value: r.Scope.Teeth}, line{a: "Clinicians", value: r.Scope.Clinicians})
	for _, f := range r.Findings {
		rows = append(rows, line{a: "Finding", b: wording.Sentence(f.Text), c: strings.TrimSpace(wording.Sentence(f.Limits) + " " + f.Action)})
	}
	for _, c := range r.Cautions {
		rows = append(rows, line{a: "Caution", b: wording.Sentence(c)})
	}
	sheet(b, "summary", rows, []column[line]{
		{"what", 44, func(l line) any { return l.a }},
		{"number", 12, func(l line) any { return l.value }},
		{"text", 100, func(l line) any { return text(l.b) }},
		{"what it does not show, and what to ask", 100, func(l line) any { return text(l.c) }},
	})
}

// text leaves a cell blank rather than empty.
func text(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// byColumns are the columns that name a cell of the grid.
func byColumns[T any](by func(T) results.By, style bool) []column[T] {
	out := []column[T]{
		{"axis", 20, func(t T) any { return text(by(t).Axis.String()) }},
		{"direction", 20, func(t T) any { return text(by(t).Direction.String()) }},
		{"tooth (FDI)", 11, func(t T) any {
			if by(t).Tooth == 0 {
				return nil
			}
			return int(by(t).Tooth)
		}},
		{"tooth class", 11, func(t T) any { return text(by(t).ToothClass.String()) }},
		{"arch", 11, func(t T) any { return text(by(t).Arch.String()) }},
		{"course", 11, func(t T) any { return text(string(by(t).Course)) }},
	}
	if style {
		out = append(out, column[T]{"style", 20, func(t T) any { return text(by(t).Style.String()) }})
	}
	return out
}

// blankIf hides a value of a suppressed row.
func blankIf(hidden bool, v any) any {
	if hidden {
		return nil
	}
	return v
}

func warningText(lists ...[]results.Warning) any {
	var parts []string
	for _, ws := range lists {
		for _, w := range ws {
			parts = append(parts, wording.Warning(w))
		}
	}
	return text(strings.Join(parts, " "))
}

func (b *book) tables(r *results.Results) {
	type cell = results.Cell
	n := func(head string, v func(cell) any) column[cell] {
		return column[cell]{head, 13, func(c cell) any { return blankIf(c.Suppressed, v(c)) }}
	}
	cols := append(byColumns(func(c cell) results.By { return c.By }, true),
		column[cell]{"unit", 8, func(c cell) any { return c.Unit.String() }},
		n("cases", func(c cell) any { return c.Cases }), n("movements", func(c cell) any { return c.Movements }),
		n("planned total (unit)", func(c cell) any { return c.PlannedTotal }), n("achieved total (unit)", func(c cell) any { return c.AchievedTotal }),
		n("expression (ratio)", func(c cell) any { return c.Estimate }), n("low", func(c cell) any { return c.Low }), n("high", func(c cell) any { return c.High }),
		n("standard error", func(c cell) any { return c.SE }), n("df", func(c cell) any { return c.DF }), n("design effect", func(c cell) any { return c.DesignEffect }),
		n("outside tolerance (count)", func(c cell) any { return c.OutsideTolerance.Numerator }), n("outside tolerance (share)", func(c cell) any { return c.OutsideTolerance.Value }),
		n("low (share)", func(c cell) any { return c.OutsideTolerance.Low }), n("high (share)", func(c cell) any { return c.OutsideTolerance.High }),
		n("median ratio", func(c cell) any { return c.MedianRatio }), n("lower quartile", func(c cell) any { return c.LowerQuartile }), n("upper quartile", func(c cell) any { return c.UpperQuartile }),
		n("mean absolute error (unit)", func(c cell) any { return c.MeanAbsError }), n("mean difference (unit)", func(c cell) any { return c.MeanDifference.Value }),
		n("percentage accuracy", func(c cell) any { return c.PercentF2 }), n("slope", func(c cell) any { return c.Slope }),
		column[cell]{"suppressed", 11, func(c cell) any { return c.Suppressed }},
		column[cell]{"warnings", 60, func(c cell) any { return warningText(c.Warnings, c.OutsideTolerance.Warnings) }})
	sheet(b, "expression", r.Expression, cols)
	b.comparisons(r)
	b.refinements(r)
	b.losses(r)
}

func (b *book) comparisons(r *results.Results) {
	type cmp = results.Comparison
	cols := append(byColumns(func(c cmp) results.By { return c.By }, false),
		column[cmp]{"primary", 9, func(c cmp) any { return c.Primary }})
	for _, s := range []casebook.Style{casebook.ClinicianDesigned, casebook.SoftwareSuggested} {
		cols = append(cols,
			column[cmp]{s.String() + ": cases", 13, func(c cmp) any { return arm(c, s).Cases }},
			column[cmp]{s.String() + ": movements", 13, func(c cmp) any { return arm(c, s).Movements }},
			column[cmp]{s.String() + ": mean planned (unit)", 13, func(c cmp) any { return arm(c, s).MeanPlanned }},
			column[cmp]{s.String() + ": expression (ratio)", 13, func(c cmp) any { return arm(c, s).Expression }},
			column[cmp]{s.String() + ": adjusted (ratio)", 13, func(c cmp) any { return arm(c, s).AdjustedRatio }})
	}
	for _, d := range []struct {
		name string
		of   func(cmp) results.Difference
	}{{"unadjusted", func(c cmp) results.Difference { return c.Unadjusted }}, {"adjusted", func(c cmp) results.Difference { return c.Adjusted }}} {
		cols = append(cols,
			column[cmp]{d.name + " difference (ratio)", 13, func(c cmp) any { return d.of(c).Difference }},
			column[cmp]{d.name + " low", 11, func(c cmp) any { return d.of(c).Low }}, column[cmp]{d.name + " high", 11, func(c cmp) any { return d.of(c).High }},
			column[cmp]{d.name + " standard error", 11, func(c cmp) any { return d.of(c).SE }}, column[cmp]{d.name + " df", 11, func(c cmp) any { return d.of(c).DF }},
			column[cmp]{d.name + " P", 11, func(c cmp) any { return d.of(c).P }})
	}
	sheet(b, "comparisons", r.Comparisons, append(cols,
		column[cmp]{"P corrected", 11, func(c cmp) any { return c.Adjusted.PAdjusted }},
		column[cmp]{"verdict", 19, func(c cmp) any { return string(c.Verdict) }}, column[cmp]{"reading", 60, func(c cmp) any { return text(c.Reading) }},
		column[cmp]{"adjusted for", 40, func(c cmp) any { return text(strings.Join(c.Adjusters, ", ")) }},
		column[cmp]{"could be seen (ratio)", 11, func(c cmp) any { return c.Detectable }}, column[cmp]{"more cases an arm", 11, func(c cmp) any { return c.MoreCases }},
		column[cmp]{"overlap of plans (share)", 11, func(c cmp) any { return c.Overlap.ShareInside }}, column[cmp]{"why not comparable", 40, func(c cmp) any { return text(c.Overlap.Reason) }},
		column[cmp]{"E-value", 11, func(c cmp) any { return c.EValue.Estimate }}, column[cmp]{"E-value of the limit", 11, func(c cmp) any { return c.EValue.Limit }},
		column[cmp]{"warnings", 60, func(c cmp) any { return warningText(c.Warnings) }}))
}

// rated is a bar of the refinement distribution with the style it belongs to.
type rated struct {
	group  string
	bar    results.Bar
	hidden bool
}

func (b *book) refinements(r *results.Results) {
	rows := []rated{}
	add := func(group string, bars []results.Bar, hidden bool) {
		for _, bar := range bars {
			rows = append(rows, rated{group, bar, hidden || bar.Suppressed})
		}
	}
	add("all finished cases", r.Refinements.Distribution, false)
	for _, s := range r.Refinements.ByStyle {
		add(wording.Style(s.Style), s.Distribution, s.Suppressed)
	}
	sheet(b, "refinements", rows, []column[rated]{
		{"main style of the initial features", 30, func(x rated) any { return x.group }},
		{"refinements", 12, func(x rated) any { return x.bar.Label }},
		{"cases", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Cases) }},
		{"share", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Value) }},
		{"low", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Low) }},
		{"high", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.High) }},
		{"suppressed", 11, func(x rated) any { return x.hidden }},
	})
	sheet(b, "planned again", r.Replanned, []column[results.Replanned]{
		{"axis", 20, func(x results.Replanned) any { return text(x.Axis.String()) }},
		{"style", 20, func(x results.Replanned) any { return wording.Style(x.Style) }},
		{"cases", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Cases) }},
		{"movements", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Movements) }},
		{"planned again", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Numerator) }},
		{"share", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Value) }},
		{"low", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Low) }},
		{"high", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.High) }},
		{"suppressed", 11, func(x results.Replanned) any { return x.Suppressed }},
	})
}

func (b *book) losses(r *results.Results) {
	sheet(b, "losses", r.Losses, []column[results.Loss]{
		{"style", 20, func(x results.Loss) any { return wording.Style(x.Style) }},
		{"tooth class", 12, func(x results.Loss) any { return text(x.ToothClass.String()) }},
		{"cases", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Cases) }},
		{"features", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Features) }},
		{"lost", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Numerator) }},
		{"share", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Value) }},
		{"low", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Low) }},
		{"high", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.High) }},
		{"suppressed", 11, func(x results.Loss) any { return x.Suppressed }},
	})
}

// measure is one number of the data-quality sheet.
type measure struct {
	topic, what string
	value       any
}

func (b *book) quality(r *results.Results) {
	c := r.Flow.Rows
	rows := []measure{
		{"flow", "rows read", c.Read},
		{"flow", "rows accepted", c.Accepted},
		{"flow", "rows rejected", c.Rejected},
		{"flow", "rows blank", c.Blank},
		{"flow", "files with a later version, not counted", r.Flow.EarlierVersions},
		{"flow", "records superseded", r.Flow.Superseded},
		{"flow", "cases logged", r.Flow.CasesLogged},
	}
	for _, s := range r.Flow.Steps {
		rows = append(rows, measure{"flow: movements", s.Title, s.Movements}, measure{"flow: cases", s.Title, blankIf(s.Suppressed, s.Cases)})
	}
	for _, e := range r.Excluded {
		rows = append(rows, measure{"left out: rows", e.Reason, e.Rows}, measure{"left out: movements", e.Reason, e.Movements}, measure{"left out: cases", e.Reason, blankIf(e.Suppressed, e.Cases)})
	}
	for _, f := range r.Completeness {
		rows = append(rows, measure{"recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Recorded)}, measure{"to be recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Total)})
	}
	for _, m := range r.Repeats {
		t := "method error, " + m.Unit.String()
		rows = append(rows, measure{t, "pairs", blankIf(m.Suppressed, m.Pairs)}, measure{t, "cases", blankIf(m.Suppressed, m.Cases)}, measure{t, "bias", m.Bias.Value}, measure{t, "bias low", m.Bias.Low}, measure{t, "bias high", m.Bias.High},
			measure{t, "P of bias", m.BiasP}, measure{t, "Dahlberg", m.Dahlberg}, measure{t, "method of moments", m.MethodOfMoments}, measure{t, "ICC", m.ICC.Value},
			measure{t, "smallest detectable change", m.SmallestDetectable}, measure{t, "lower limit of agreement", m.LowerAgreement}, measure{t, "upper limit of agreement", m.UpperAgreement})
	}
	for _, u := range r.Unplanned {
		t := "little planned, " + u.Unit.String()
		rows = append(rows, measure{t, u.Axis.String() + ": movements", blankIf(u.Suppressed, u.Movements)}, measure{t, u.Axis.String() + ": mean amount moved", blankIf(u.Suppressed, u.MeanAbs)}, measure{t, u.Axis.String() + ": share outside tolerance", blankIf(u.Suppressed, u.Outside.Value)})
	}
	for _, x := range r.Bounds {
		t := "worst and best case: " + wording.Movement(x.By) + ", " + wording.Course(x.By.Course)
		rows = append(rows, measure{t, "missing outcomes", blankIf(x.Suppressed, x.Missing)}, measure{t, "worst", blankIf(x.Suppressed, x.Worst)}, measure{t, "observed", blankIf(x.Suppressed, x.Observed)}, measure{t, "best", blankIf(x.Suppressed, x.Best)})
	}
	for _, w := range r.Warnings {
		rows = append(rows, measure{"warning", wording.Warning(w), nil})
	}
	sheet(b, "data quality", rows, []column[measure]{
		{"topic", 40, func(m measure) any { return m.topic }}, {"what", 60, func(m measure) any { return m.what }}, {"value", 14, func(m measure) any { return m.value }},
	})
}

func (b *book) settings(r *results.Results) {
	rows := []line{{a: "Program", b: r.Provenance.Tool + " " + r.Provenance.Version}, {a: "Results schema", b: r.SchemaVersion}, {a: "Date of the audit", b: r.Provenance.Date}}
	for _, kv := range section.Settings(r) {
		rows = append(rows, line{a: kv[0], b: kv[1]})
	}
	for _, f := range r.Provenance.Inputs {
		rows = append(rows, line{a: "File " + f.Name, b: fmt.Sprintf("SHA-256 %s, %d bytes", f.SHA256, f.Size)})
	}
	sheet(b, "settings", rows, []column[line]{{"setting", 46, func(l line) any { return l.a }}, {"value", 90, func(l line) any { return text(l.b) }}})
	sheet(b, "definitions", r.Definitions, []column[results.Definition]{
		{"term", 34, func(d results.Definition) any { return d.Term }}, {"definition", 100, func(d results.Definition) any { return d.Formula }}, {"source", 70, func(d results.Definition) any { return text(d.Source) }},
	})
}
