package section

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// Clinician-designed against software-suggested within mouths.
var _ = furnish("comparison", room{
	exhibits: exhibits{"table": comparisonTable, "exploratory": comparisonTable, "not-comparable": notComparable},
	offPaper: []string{"not-comparable"},
	sheets: func(m *maker) []document.Sheet {
		return []document.Sheet{comparisonSheet(m), readingSheet(m.r.Comparisons), checkSheet(m.r.Comparisons), balanceSheet(m.r.Comparisons)}
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

func armCases(c *results.Comparison) string {
	return versus(armOf(c, casebook.ClinicianDesigned).Cases, armOf(c, casebook.SoftwareSuggested).Cases)
}

// comparisonName is "Extrusion, initial", with the teeth where they are not all.
func (m *maker) comparisonName(c *results.Comparison) string {
	s := movementCourse(c.By)
	if !allTeeth(c.By) {
		s += ", " + wording.Place(c.By, m.set.Notation)
	}
	if c.Primary {
		s += " (declared beforehand)"
	}
	return s
}

// comparisonCells are the columns that a table of comparisons may have, by head.
func (m *maker) comparisonCells(c *results.Comparison, head string) document.Cell {
	bold := clear(c.Verdict)
	switch {
	case head == "Movement, course":
		return document.Cell{Text: m.comparisonName(c), Strong: bold}
	case head == "Teeth, movement, course":
		return words(wording.Capital(wording.Place(c.By, m.set.Notation)) + ", " + wording.Movement(c.By) + ", " + wording.Course(c.By.Course))
	case head == "Cases CD v SS":
		return words(armCases(c))
	case strings.HasPrefix(head, "Adjusted"), strings.HasPrefix(head, "Same mouth"):
		return document.Cell{Text: Points(c.Adjusted), Strong: bold}
	case strings.HasPrefix(head, "Unadjusted"):
		return words(Points(c.Unadjusted))
	case head == "P, corr.":
		return words(wording.P(c.Adjusted.PAdjusted))
	case head == "Could see":
		return words(wording.Whole(c.Detectable))
	case head == "Power, %":
		return words(wording.Whole(c.Power))
	case head == "More cases":
		return words(wording.Fixed(c.MoreCases, 0))
	case head == "Verdict":
		return document.Cell{Text: string(c.Verdict), Strong: bold, Notes: notes(c.Warnings)}
	}
	return document.Cell{}
}

func comparisonTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	all := m.r.Comparisons
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
func notComparable(m *maker, e *results.Exhibit) document.Block {
	t := document.Table{ID: target(e.ID), Title: e.Title, Columns: []document.Column{{Title: "Movement, course"}, {Title: "Teeth"}, {Title: "Cases, clinician-designed", Number: true}, {Title: "Cases, software-suggested", Number: true}, {Title: "Between patients, adjusted", Number: true}, {Title: "Why", Weight: 2}}}
	for _, i := range e.Rows {
		c := &m.r.Comparisons[i]
		var apart results.Difference
		for _, x := range c.Readings {
			if x.ID == results.BetweenPatients {
				apart = x.Difference
			}
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			words(movementCourse(c.By)), words(wording.Place(c.By, m.set.Notation)), words(wording.Count(armOf(c, casebook.ClinicianDesigned).Cases)), words(wording.Count(armOf(c, casebook.SoftwareSuggested).Cases)), {Text: Points(apart), Quiet: true}, words(c.Because),
		}})
	}
	return orNil(t)
}

func comparisonSheet(m *maker) document.Sheet {
	type cmp = results.Comparison
	cols := append(byColumns(func(c cmp) results.By { return c.By }, false),
		field[cmp]{"primary", 9, func(c cmp) any { return c.Primary }})
	for _, s := range []casebook.Style{casebook.ClinicianDesigned, casebook.SoftwareSuggested} {
		cols = append(cols,
			field[cmp]{s.String() + ": cases", 13, func(c cmp) any { return armOf(&c, s).Cases }},
			field[cmp]{s.String() + ": movements", 13, func(c cmp) any { return armOf(&c, s).Movements }},
			field[cmp]{s.String() + ": mean planned (unit)", 13, func(c cmp) any { return armOf(&c, s).MeanPlanned }},
			field[cmp]{s.String() + ": expression (ratio)", 13, func(c cmp) any { return armOf(&c, s).Expression }},
			field[cmp]{s.String() + ": adjusted (ratio)", 13, func(c cmp) any { return armOf(&c, s).AdjustedRatio }})
	}
	for _, d := range []struct {
		name string
		of   func(cmp) results.Difference
	}{{"unadjusted", func(c cmp) results.Difference { return c.Unadjusted }}, {"adjusted", func(c cmp) results.Difference { return c.Adjusted }}} {
		cols = append(cols,
			field[cmp]{d.name + " difference (ratio)", 13, func(c cmp) any { return d.of(c).Difference }},
			field[cmp]{d.name + " low", 11, func(c cmp) any { return d.of(c).Low }}, field[cmp]{d.name + " high", 11, func(c cmp) any { return d.of(c).High }},
			field[cmp]{d.name + " standard error", 11, func(c cmp) any { return d.of(c).SE }}, field[cmp]{d.name + " df", 11, func(c cmp) any { return d.of(c).DF }},
			field[cmp]{d.name + " P", 11, func(c cmp) any { return d.of(c).P }})
	}
	return sheet("comparisons", m.r.Comparisons, append(cols,
		field[cmp]{"P corrected", 11, func(c cmp) any { return c.Adjusted.PAdjusted }},
		field[cmp]{"verdict", 19, func(c cmp) any { return string(c.Verdict) }}, field[cmp]{"reading", 60, func(c cmp) any { return text(c.Reading) }},
		field[cmp]{"adjusted for", 40, func(c cmp) any { return text(strings.Join(c.Adjusters, ", ")) }},
		field[cmp]{"could be seen (ratio)", 11, func(c cmp) any { return c.Detectable }}, field[cmp]{"power for the difference worth knowing", 11, func(c cmp) any { return c.Power }}, field[cmp]{"more cases with both styles", 11, func(c cmp) any { return c.MoreCases }},
		field[cmp]{"overlap of plans (share)", 11, func(c cmp) any { return c.Overlap.ShareInside }}, field[cmp]{"reason", 24, func(c cmp) any { return text(c.Reason) }}, field[cmp]{"because", 60, func(c cmp) any { return text(c.Because) }},
		field[cmp]{"missing outcomes", 60, func(c cmp) any { return missingText(c) }},
		field[cmp]{"E-value", 11, func(c cmp) any { return c.EValue.Estimate }}, field[cmp]{"E-value of the limit", 11, func(c cmp) any { return c.EValue.Limit }},
		field[cmp]{"warnings", 60, func(c cmp) any { return warningText(c.Warnings) }}))
}

// missingText says what outcomes that were not measured could do.
func missingText(c results.Comparison) any {
	if c.Missing == nil {
		return nil
	}
	return text(c.Missing.Sentence)
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

func readingSheet(cs []results.Comparison) document.Sheet {
	rows := []read{}
	for _, c := range cs {
		for _, x := range c.Readings {
			rows = append(rows, read{c.By, x})
		}
	}
	cols := append(byColumns(func(x read) results.By { return x.by }, false), field[read]{"reading", 26, func(x read) any { return x.Label }})
	cols = append(cols, differences("difference (ratio)", func(x read) results.Difference { return x.Difference })...)
	cols = append(cols, spreads("on the mean plan (unit)", func(x read) results.Spread { return x.InUnit })...)
	return sheet("readings", rows, append(cols,
		field[read]{"cases", 11, func(x read) any { return x.Cases }}, field[read]{"cases it rests on", 11, func(x read) any { return x.Contributing }},
		field[read]{"movements", 11, func(x read) any { return x.Movements }},
		field[read]{"adjusted for", 40, func(x read) any { return text(strings.Join(x.Adjusters, ", ")) }}, field[read]{"not adjusted for", 40, func(x read) any { return text(strings.Join(x.NotAdjusted, ", ")) }}))
}

func checkSheet(cs []results.Comparison) document.Sheet {
	rows := []checked{}
	for _, c := range cs {
		for _, x := range c.Checks {
			rows = append(rows, checked{c.By, x})
		}
	}
	cols := append(byColumns(func(x checked) results.By { return x.by }, false), field[checked]{"check", 50, func(x checked) any { return x.Text }})
	cols = append(cols, differences("difference (ratio)", func(x checked) results.Difference { return x.Estimate })...)
	return sheet("checks", rows, append(cols,
		field[checked]{"applies", 9, func(x checked) any { return x.Applies }}, field[checked]{"holds", 9, func(x checked) any { return x.Holds }},
		field[checked]{"decides", 9, func(x checked) any { return x.Decides }}, field[checked]{"left out", 30, func(x checked) any { return text(x.Who) }}))
}

// balanced is a covariate with the comparison it belongs to.
type balanced struct {
	by results.By
	results.Balance
	overlap results.Number
}

func balanceSheet(cs []results.Comparison) document.Sheet {
	rows := []balanced{}
	for _, c := range cs {
		for _, x := range c.Balance {
			rows = append(rows, balanced{c.By, x, c.Overlap.ShareInside})
		}
	}
	return sheet("balance", rows, append(byColumns(func(x balanced) results.By { return x.by }, false),
		field[balanced]{"covariate", 30, func(x balanced) any { return x.Covariate }},
		field[balanced]{"clinician-designed: mean or share", 13, func(x balanced) any { return x.Clinician }},
		field[balanced]{"software-suggested: mean or share", 13, func(x balanced) any { return x.Software }},
		field[balanced]{"standardised difference", 13, func(x balanced) any { return x.SMD }},
		field[balanced]{"standardised difference after overlap weighting", 13, func(x balanced) any { return x.After }},
		field[balanced]{"overlap of plans (share)", 13, func(x balanced) any { return x.overlap }}))
}
