package section

import (
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// textColumns are the heads of columns that hold words.
var textColumns = []string{
	"Verdict", "Answer", "Course", "Style", "Reason", "Choice", "Axis", "Long edge recorded", "Planned", "Staging", "Path", "Unit", "Criterion", "Limits",
	"Beyond chance", "Action", "Owner", "Due", "Re-audit", "Teeth: cases clinician-designed v software-suggested (reason)", "Why", "Because", "Rests on it",
}

// table is an exhibit without its rows.
func table(e *results.Exhibit) document.Table {
	t := document.Table{ID: target(e.ID), Title: e.Title}
	for i, c := range e.Columns {
		t.Columns = append(t.Columns, document.Column{Title: c, Number: i > 0 && !slices.Contains(textColumns, c)})
	}
	return t
}

// orNil leaves out a table that would be empty.
func orNil(t document.Table) document.Block {
	for _, r := range t.Rows {
		for i, c := range r.Cells {
			if i > 0 && !document.Nothing(c.Text) {
				return t
			}
		}
	}
	return nil
}

// orNoData leaves out the table of a figure that would be empty.
func orNoData(t *document.Table) *document.Table {
	if orNil(*t) == nil {
		return nil
	}
	return t
}

// chosen gives the rows of a list that an exhibit shows.
func chosen[T any](e *results.Exhibit, all []T) (out []T) {
	if len(e.Rows) == 0 && e.Left == 0 {
		return all
	}
	for _, i := range e.Rows {
		if i < len(all) {
			out = append(out, all[i])
		}
	}
	return out
}

func (t *rowsOf) add(cells ...document.Cell) { t.Rows = append(t.Rows, document.Row{Cells: cells}) }

// rowsOf is a table being filled, with a head whenever the group changes.
type rowsOf struct {
	document.Table
	last string
}

func (t *rowsOf) group(head string) {
	if head != t.last {
		t.Rows = append(t.Rows, document.Row{Group: document.Strong(head)})
		t.last = head
	}
}

func words(s string) document.Cell { return document.Cell{Text: s} }

func noted(s string, ws ...[]results.Warning) document.Cell {
	return document.Cell{Text: s, Notes: notes(ws...)}
}

// tooFew stands where the small-number rule hides a row.
const tooFew = "too few"

// fill makes a row as wide as its table.
func (t *rowsOf) fill(cells ...document.Cell) {
	for len(cells) < len(t.Columns) {
		cells = append(cells, document.Cell{})
	}
	t.add(cells...)
}

func pair(a, b int) string { return wording.Count(a) + " / " + wording.Count(b) }

func versus(a, b int) string { return wording.Count(a) + " v " + wording.Count(b) }

// shareText is "31 % (17/55)"; a handful is a count alone.
func shareText(s results.Share, hidden bool) string {
	switch {
	case hidden:
		return tooFew
	case s.Denominator == 0:
		return wording.Dash
	case s.Denominator < 10:
		return wording.Count(s.Numerator) + " of " + wording.Count(s.Denominator)
	}
	return wording.Share(s.Numerator, s.Denominator) + " (" + wording.Count(s.Numerator) + "/" + wording.Count(s.Denominator) + ")"
}

func movementCourse(by results.By) string {
	return wording.Capital(wording.Movement(by)) + ", " + wording.Course(by.Course)
}

func allTeeth(by results.By) bool {
	return by.ToothClass == casebook.NoClass && by.Tooth == 0 && by.Arch == casebook.NoArch
}

func clear(v results.Verdict) bool { return v == results.Higher || v == results.Lower }
