package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

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
	case head == "More cases":
		return words(wording.Fixed(c.MoreCases, 0))
	case head == "Verdict":
		return document.Cell{Text: string(c.Verdict), Strong: bold, Notes: notes(c.Warnings)}
	}
	return document.Cell{}
}

func comparisons(m *maker, e *results.Exhibit) document.Block {
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

func comparisonTable(m *maker, e *results.Exhibit) document.Block  { return comparisons(m, e) }
func exploratoryTable(m *maker, e *results.Exhibit) document.Block { return comparisons(m, e) }

// notComparable lists what was not judged, with the reason of each cell.
func notComparable(m *maker, e *results.Exhibit) document.Block {
	t := document.Table{ID: target(e.ID), Title: e.Title, Columns: []document.Column{{Title: "Movement, course"}, {Title: "Teeth"}, {Title: "Cases, clinician-designed", Number: true}, {Title: "Cases, software-suggested", Number: true}, {Title: "Why", Weight: 2}}}
	for _, i := range e.Rows {
		c := &m.r.Comparisons[i]
		why := c.Overlap.Reason
		for _, w := range c.Warnings {
			why = w.Text
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			words(movementCourse(c.By)), words(wording.Place(c.By, m.set.Notation)), words(wording.Count(armOf(c, casebook.ClinicianDesigned).Cases)), words(wording.Count(armOf(c, casebook.SoftwareSuggested).Cases)), words(why),
		}})
	}
	return orNil(t)
}

func matchedTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.CaseMix.Matched) {
		c := results.Comparison{By: x.By}
		t.add(words(m.comparisonName(&c)), words(pair(x.Both, x.Strata)), words(pair(x.Inside, x.Outside)), words(wording.Count(x.Cases)), noted(Points(x.Matched), x.Warnings), words(Points(x.Model)))
	}
	return orNil(t.Table)
}

// groups is a table of a family of comparisons of two groups.
func (m *maker) groups(e *results.Exhibit, all []results.GroupComparison) document.Block {
	t := rowsOf{Table: table(e)}
	mixed := false
	for _, c := range all {
		mixed = mixed || c.Group.Name != all[0].Group.Name
	}
	for _, c := range chosen(e, all) {
		if c.Suppressed {
			continue
		}
		name := wording.Capital(wording.Movement(c.By))
		if c.By.Course != "" {
			name += ", " + wording.Course(c.By.Course)
		}
		if !allTeeth(c.By) {
			name += ", " + wording.Place(c.By, m.set.Notation)
		}
		if mixed {
			t.group(name)
			if name = c.Group.Name; !strings.HasPrefix(c.Reference.Name, "kept") {
				name += " v " + c.Reference.Name
			}
		}
		bold := clear(c.Verdict)
		t.add(words(name), words(versus(c.Group.Cases, c.Reference.Cases)), words(wording.Points(c.Unadjusted.Difference)), document.Cell{Text: Points(c.Adjusted), Strong: bold},
			words(wording.P(c.Adjusted.PAdjusted)), document.Cell{Text: string(c.Verdict), Strong: bold, Notes: notes(c.Warnings)})
	}
	return orNil(t.Table)
}

func stagingTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Staging.Comparisons)
}

func orientationTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Fit.Comparisons)
}

func attachmentTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Attachment.Comparisons)
}

func shapeTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Shape.Shapes)
}

func sizeTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Shape.Sizes)
}

func switchTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Switches.Contrasts)
}

func loadTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Staging.Loads) {
		t.add(words(x.Case), words(fmt.Sprint(x.Course)), words(x.Tooth.In(m.set.Notation)), words(strings.Join(x.Movements, ", ")), words(x.Staging), words(wording.Fixed(x.Load, 1)), words(wording.Fixed(x.Residual, 1)), words(fmt.Sprint(x.Outside)))
	}
	return orNil(t.Table)
}

func againstTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Fit.Against) {
		n := pair(x.Cases, x.Movements)
		if x.Suppressed {
			n = tooFew
		}
		t.add(words(wording.Capital(x.Axis.String())), words(x.Recorded.String()), words(wording.Style(x.Style)), words(n))
	}
	return orNil(t.Table)
}

func pathTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Switches.Paths) {
		if x.Suppressed {
			continue
		}
		t.group(m.axisName(x.Axis))
		name := "kept " + startNames[x.From]
		if x.From != x.To {
			name = startNames[x.From] + " → " + startNames[x.To]
		}
		change := wording.Points(x.Change.Value)
		if x.Change.Low.OK() {
			change += " (" + wording.PointLimits(x.Change.Low, x.Change.High) + ")"
		}
		t.add(words(name), words(pair(x.Cases, x.Movements)), words(wording.Whole(x.First.Value)), words(wording.Whole(x.Next.Value)), noted(change, x.Warnings),
			words(wording.Points(x.Expected.Change)), words(wording.Points(x.Expected.AtMost)), words(wording.P(x.PairedP)))
	}
	return orNil(t.Table)
}
