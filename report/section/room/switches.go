package room

import (
	"fmt"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What a change of style between two courses went with.
var _ = Furnish("switches", Room{
	Exhibits: Exhibits{"paths": pathTable, "contrasts": switchTable},
	Sheets: func(m *Maker) []document.Sheet {
		q := &m.Results.Questions.Switches
		return []document.Sheet{pathSheet(q.Paths), groupSheet(m, "switched against kept", q.Contrasts)}
	},
})

func pathTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Switches.Paths) {
		if x.Suppressed {
			continue
		}
		t.group(m.AxisName(x.Axis))
		name := "kept " + wording.Style(x.From)
		if x.From != x.To {
			name = wording.Style(x.From) + " → " + wording.Style(x.To)
		}
		change := wording.Points(x.Change.Value)
		if x.Change.Low.OK() {
			change += " (" + wording.PointLimits(x.Change.Low, x.Change.High) + ")"
		}
		t.add(Words(name), Words(pair(x.Cases, x.Movements)), Words(wording.Whole(x.First.Value)), Words(wording.Whole(x.Next.Value)), noted(change, x.Warnings),
			Words(expectedChange(x.Expected)), Words(wording.P(x.PairedP)))
	}
	return orNil(t.Table)
}

// expectedChange is the range of the change without any effect, never one end of it.
func expectedChange(e results.RegressionToMean) string {
	if !e.AtMost.OK() {
		return wording.Dash
	}
	low := results.Number(0)
	if e.Change.OK() {
		low = e.Change
	}
	return wording.PointLimits(low, e.AtMost)
}

func switchTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Switches.Contrasts)
}

func pathSheet(ps []results.SwitchPath) document.Sheet {
	type path = results.SwitchPath
	numbers := slices.Concat(
		[]Field[path]{
			{"cases", 11, func(x path) any { return x.Cases }}, {"movements", 11, func(x path) any { return x.Movements }},
		},
		spreads("first course (ratio)", func(x path) results.Spread { return x.First }),
		spreads("next course (ratio)", func(x path) results.Spread { return x.Next }),
		spreads("change (ratio)", func(x path) results.Spread { return x.Change }),
		[]Field[path]{
			{"P of the change, not corrected", 12, func(x path) any { return x.PairedP }},
			{"expected without effect (ratio)", 12, func(x path) any { return x.Expected.Change }},
			{"expected at most (ratio)", 12, func(x path) any { return x.Expected.AtMost }},
			{"reliability", 11, func(x path) any { return x.Expected.Reliability }},
		})
	cols := append([]Field[path]{
		{"axis", 20, func(x path) any { return x.Axis.String() }},
		{"style of the course that fell short", 22, func(x path) any { return wording.Style(x.From) }},
		{"style of the next course", 22, func(x path) any { return wording.Style(x.To) }},
	}, shown(func(x path) bool { return x.Suppressed }, numbers)...)
	return Sheet("switch paths", ps, append(cols,
		Field[path]{"suppressed", 11, func(x path) any { return x.Suppressed }},
		Field[path]{"warnings", 60, func(x path) any { return warningText(x.Warnings) }}))
}

// PathKey is the key of a row: a way from one style to the next along an axis.
func PathKey(p *results.SwitchPath) string {
	return fmt.Sprintf("path %s %s %s", p.Axis, p.From, p.To)
}
