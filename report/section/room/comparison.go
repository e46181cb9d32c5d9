package room

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// Clinician-designed against software-suggested within mouths.
var _ = Furnish("comparison", Room{
	Exhibits: Exhibits{"table": comparisonTable, "exploratory": comparisonTable, "against": comparisonTable, "not-comparable": notComparable},
	OffPaper: []string{"not-comparable"},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{comparisonSheet(m), readingSheet(m, m.Results.Comparisons), checkSheet(m, m.Results.Comparisons), balanceSheet(m, m.Results.Comparisons)}
	},
})

func armOf(c *results.Comparison, s casebook.Style) results.Arm {
	for _, a := range c.Arms {
		if a.Style == s {
			return a
		}
	}
	return results.Arm{}
}

// ReadingOf is one way of comparing, with no number where it was not made or is withheld.
func ReadingOf(c *results.Comparison, id string) results.Difference {
	for _, x := range c.Readings {
		if x.ID == id {
			return x.Difference
		}
	}
	n := results.NotEstimable
	return results.Difference{Difference: n, SE: n, DF: n, Low: n, High: n, P: n, PAdjusted: n}
}

func armCases(c *results.Comparison) string {
	return versus(armOf(c, casebook.ClinicianDesigned).Cases, armOf(c, casebook.SoftwareSuggested).Cases)
}

// comparisonName is "Extrusion, initial", with the teeth where they are not all.
func (m *Maker) comparisonName(c *results.Comparison) string {
	s := m.movementCourse(c.By)
	if !c.By.AllTeeth() {
		s += ", " + wording.Place(c.By, m.Settings.Notation)
	}
	if c.Primary {
		s += " (declared beforehand)"
	}
	return s
}

// comparisonCells are the columns that a table of comparisons may have, by head.
func (m *Maker) comparisonCells(c *results.Comparison, head string) document.Cell {
	bold := c.Verdict.Clear()
	switch {
	case head == "Movement, course":
		return document.Cell{Text: m.comparisonName(c), Strong: bold}
	case head == "Teeth, movement, course":
		return Words(wording.Capital(wording.Place(c.By, m.Settings.Notation)) + ", " + m.Names.Movement(c.By) + ", " + wording.Course(c.By.Course))
	case head == "Cases CD v SS":
		return Words(armCases(c))
	case strings.HasPrefix(head, "Adjusted"), strings.HasPrefix(head, "Same patients"):
		return document.Cell{Text: Points(c.Adjusted), Strong: bold}
	case strings.HasPrefix(head, "Unadjusted"):
		return Words(Points(c.Unadjusted))
	case head == "P, corr.":
		return Words(wording.P(c.Adjusted.PAdjusted))
	case head == "Could see":
		return Words(wording.Whole(c.Detectable))
	case head == "Power, %":
		return Words(wording.Whole(c.Power))
	case head == "More cases" && c.Verdict.Clear(): // what is called needs none
		return Words(wording.Dash)
	case head == "More cases":
		return Words(wording.Fixed(c.MoreCases, 0))
	case head == "Difference":
		return Words(wording.Points(c.Adjusted.Difference))
	case head == "Unrecorded factor":
		return Words(times(c.EValue.Limit))
	case strings.HasPrefix(head, "Missing "):
		return Words(missingCell(c, head))
	case head == "Verdict":
		return document.Cell{Text: string(c.Verdict), Strong: bold, Notes: Notes(c.Warnings)}
	}
	return document.Cell{}
}

func times(v results.Number) string {
	if !v.OK() {
		return wording.Dash
	}
	return wording.Fixed(v, 1) + " times"
}

// missingCell is what movements without an outcome could make of a difference.
func missingCell(c *results.Comparison, head string) string {
	switch {
	case c.Missing == nil:
		return wording.Dash
	case head == "Missing at worst":
		return wording.Points(c.Missing.Worst.Difference)
	case head == "Missing at best":
		return wording.Points(c.Missing.Best.Difference)
	case c.Adjusted.Difference < 0 && c.Missing.Tipping.OK():
		return wording.Points(-c.Missing.Tipping)
	}
	return wording.Points(c.Missing.Tipping)
}

func comparisonTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	all := m.Results.Comparisons
	for _, i := range e.Rows {
		var row []document.Cell
		for _, head := range e.Columns {
			row = append(row, m.comparisonCells(&all[i], head))
		}
		t.add(row...)
	}
	return orNil(t.Table)
}

// notComparable lists what was not judged, with the reason of each cell.
func notComparable(m *Maker, e *results.Exhibit) document.Block {
	t := document.Table{ID: Anchor(e.ID), Title: e.Title, Columns: []document.Column{{Title: "Movement, course"}, {Title: "Teeth"}, {Title: "Cases, clinician-designed", Number: true}, {Title: "Cases, software-suggested", Number: true}, {Title: "Between patients, adjusted", Number: true}, {Title: "Why", Weight: 2}}}
	for _, i := range e.Rows {
		c := &m.Results.Comparisons[i]
		apart := ReadingOf(c, results.BetweenPatients)
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			Words(m.movementCourse(c.By)), Words(wording.Place(c.By, m.Settings.Notation)), Words(wording.Count(armOf(c, casebook.ClinicianDesigned).Cases)), Words(wording.Count(armOf(c, casebook.SoftwareSuggested).Cases)), {Text: Points(apart), Quiet: true}, Words(c.Because),
		}})
	}
	return orNil(t)
}

func comparisonSheet(m *Maker) document.Sheet {
	type cmp = results.Comparison
	cols := append(byColumns(m, func(c cmp) results.By { return c.By }, false),
		Field[cmp]{"primary", 9, func(c cmp) any { return c.Primary }})
	for _, s := range []casebook.Style{casebook.ClinicianDesigned, casebook.SoftwareSuggested} {
		cols = append(cols,
			Field[cmp]{s.String() + ": cases", 13, func(c cmp) any { return armOf(&c, s).Cases }},
			Field[cmp]{s.String() + ": movements", 13, func(c cmp) any { return armOf(&c, s).Movements }},
			Field[cmp]{s.String() + ": mean planned (unit)", 13, func(c cmp) any { return armOf(&c, s).MeanPlanned }},
			Field[cmp]{s.String() + ": expression (ratio)", 13, func(c cmp) any { return armOf(&c, s).Expression }},
			Field[cmp]{s.String() + ": adjusted (ratio)", 13, func(c cmp) any { return armOf(&c, s).AdjustedRatio }})
	}
	for _, d := range []struct {
		name string
		of   func(cmp) results.Difference
	}{{"unadjusted", func(c cmp) results.Difference { return c.Unadjusted }}, {"adjusted", func(c cmp) results.Difference { return c.Adjusted }}} {
		cols = append(cols,
			Field[cmp]{d.name + " difference (ratio)", 13, func(c cmp) any { return d.of(c).Difference }},
			Field[cmp]{d.name + " low", 11, func(c cmp) any { return d.of(c).Low }}, Field[cmp]{d.name + " high", 11, func(c cmp) any { return d.of(c).High }},
			Field[cmp]{d.name + " standard error", 11, func(c cmp) any { return d.of(c).SE }}, Field[cmp]{d.name + " df", 11, func(c cmp) any { return d.of(c).DF }},
			Field[cmp]{d.name + " P", 11, func(c cmp) any { return d.of(c).P }})
	}
	cols = append(cols, amountFields()...)
	return Sheet("comparisons", m.Results.Comparisons, append(cols,
		Field[cmp]{"P corrected", 11, func(c cmp) any { return c.Adjusted.PAdjusted }},
		Field[cmp]{"verdict", 19, func(c cmp) any { return string(c.Verdict) }}, Field[cmp]{"reading", 60, func(c cmp) any { return Text(c.Reading) }},
		Field[cmp]{"adjusted for", 40, func(c cmp) any { return Text(strings.Join(c.Adjusters, ", ")) }},
		Field[cmp]{"could be seen (ratio)", 11, func(c cmp) any { return c.Detectable }}, Field[cmp]{"power for the difference worth knowing", 11, func(c cmp) any { return c.Power }}, Field[cmp]{"more cases with both styles", 11, func(c cmp) any { return c.MoreCases }},
		Field[cmp]{"overlap of plans (share)", 11, func(c cmp) any { return c.Overlap.ShareInside }}, Field[cmp]{"reason", 24, func(c cmp) any { return Text(c.Reason) }}, Field[cmp]{"because", 60, func(c cmp) any { return Text(c.Because) }},
		Field[cmp]{"missing outcomes", 60, func(c cmp) any { return missingText(c) }},
		Field[cmp]{"E-value", 11, func(c cmp) any { return c.EValue.Estimate }}, Field[cmp]{"E-value of the limit", 11, func(c cmp) any { return c.EValue.Limit }},
		Field[cmp]{"warnings", 60, func(c cmp) any { return warningText(c.Warnings) }}))
}

// amountFields are what was planned and what was achieved of it within the same patients,
// in the unit; empty where the difference is within chance by itself.
func amountFields() (out []Field[results.Comparison]) {
	type cmp = results.Comparison
	for _, part := range []struct {
		name string
		of   func(*results.Amounts) results.ArmAmounts
	}{{"planned", func(a *results.Amounts) results.ArmAmounts { return a.Planned }}, {"achieved", func(a *results.Amounts) results.ArmAmounts { return a.Achieved }}} {
		of := func(c cmp, number func(results.ArmAmounts) results.Number) any {
			if c.Amounts == nil {
				return nil
			}
			return number(part.of(c.Amounts))
		}
		name := part.name + " in the same patients (unit), "
		out = append(out,
			Field[cmp]{name + casebook.ClinicianDesigned.String(), 13, func(c cmp) any { return of(c, func(a results.ArmAmounts) results.Number { return a.Clinician }) }},
			Field[cmp]{name + casebook.SoftwareSuggested.String(), 13, func(c cmp) any { return of(c, func(a results.ArmAmounts) results.Number { return a.Software }) }},
			Field[cmp]{name + "difference", 13, func(c cmp) any {
				return of(c, func(a results.ArmAmounts) results.Number { return a.Difference.Difference })
			}},
			Field[cmp]{name + "difference low", 13, func(c cmp) any { return of(c, func(a results.ArmAmounts) results.Number { return a.Difference.Low }) }},
			Field[cmp]{name + "difference high", 13, func(c cmp) any { return of(c, func(a results.ArmAmounts) results.Number { return a.Difference.High }) }})
	}
	return out
}

// missingText says what outcomes that were not measured could do.
func missingText(c results.Comparison) any {
	if c.Missing == nil {
		return nil
	}
	return Text(c.Missing.Sentence)
}

// read is a reading with the comparison it belongs to, checked a check.
type (
	read struct {
		by results.By
		results.Reading
	}
	checked struct {
		by results.By
		results.Check
	}
)

func readingSheet(m *Maker, cs []results.Comparison) document.Sheet {
	rows := []read{}
	for _, c := range cs {
		for _, x := range c.Readings {
			rows = append(rows, read{c.By, x})
		}
	}
	cols := append(byColumns(m, func(x read) results.By { return x.by }, false), Field[read]{"reading", 26, func(x read) any { return x.Label }})
	cols = append(cols, differences("difference (ratio)", func(x read) results.Difference { return x.Difference })...)
	cols = append(cols, spreads("on the mean plan (unit)", func(x read) results.Spread { return x.InUnit })...)
	return Sheet("readings", rows, append(cols,
		Field[read]{"cases", 11, func(x read) any { return x.Cases }}, Field[read]{"cases it rests on", 11, func(x read) any { return x.Contributing }},
		Field[read]{"movements", 11, func(x read) any { return x.Movements }},
		Field[read]{"adjusted for", 40, func(x read) any { return Text(strings.Join(x.Adjusters, ", ")) }}, Field[read]{"not adjusted for", 40, func(x read) any { return Text(strings.Join(x.NotAdjusted, ", ")) }}))
}

func checkSheet(m *Maker, cs []results.Comparison) document.Sheet {
	rows := []checked{}
	for _, c := range cs {
		for _, x := range c.Checks {
			rows = append(rows, checked{c.By, x})
		}
	}
	cols := append(byColumns(m, func(x checked) results.By { return x.by }, false), Field[checked]{"check", 50, func(x checked) any { return x.Text }})
	cols = append(cols, differences("difference (ratio)", func(x checked) results.Difference { return x.Estimate })...)
	return Sheet("checks", rows, append(cols,
		Field[checked]{"applies", 9, func(x checked) any { return x.Applies }}, Field[checked]{"holds", 9, func(x checked) any { return x.Holds }},
		Field[checked]{"decides", 9, func(x checked) any { return x.Decides }}, Field[checked]{"left out", 30, func(x checked) any { return Text(x.Who) }}))
}

// balanced is a covariate with the comparison it belongs to.
type balanced struct {
	by results.By
	results.Balance
	overlap results.Number
}

func balanceSheet(m *Maker, cs []results.Comparison) document.Sheet {
	rows := []balanced{}
	for _, c := range cs {
		for _, x := range c.Balance {
			rows = append(rows, balanced{c.By, x, c.Overlap.ShareInside})
		}
	}
	return Sheet("balance", rows, append(byColumns(m, func(x balanced) results.By { return x.by }, false),
		Field[balanced]{"covariate", 30, func(x balanced) any { return x.Covariate }},
		Field[balanced]{"clinician-designed: mean or share", 13, func(x balanced) any { return x.Clinician }},
		Field[balanced]{"software-suggested: mean or share", 13, func(x balanced) any { return x.Software }},
		Field[balanced]{"standardised difference", 13, func(x balanced) any { return x.SMD }},
		Field[balanced]{"standardised difference after overlap weighting", 13, func(x balanced) any { return x.After }},
		Field[balanced]{"overlap of plans (share)", 13, func(x balanced) any { return x.overlap }}))
}
