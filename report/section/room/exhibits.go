package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// textColumns are the heads of columns that hold words.
var textColumns = []string{
	"Verdict", "Verdict then", "Answer", "Course", "Style", "Reason", "Choice", "Axis", "Long edge recorded", "Planned", "Staging", "Path", "Unit", "Criterion", "Limits",
	"Beyond chance", "Action", "Owner", "Due", "Re-audit", "Teeth: cases clinician-designed v software-suggested (reason)", "Why", "Because", "Rests on it",
}

// table is an exhibit without its rows.
func table(e *results.Exhibit) document.Table {
	t := document.Table{ID: Anchor(e.ID), Title: e.Title}
	for i, c := range e.Columns {
		t.Columns = append(t.Columns, document.Column{Title: c, Number: i > 0 && !slices.Contains(textColumns, c)})
	}
	return t
}

// orNil leaves out rows that are withheld, columns that would be empty, and a table
// of nothing else.
func orNil(t document.Table) document.Block {
	if t, ok := WithoutEmpty(withoutWithheld(t)); ok {
		return t
	}
	return nil
}

// WithoutEmpty leaves out the columns that say nothing; ok is false where none but the
// names of the rows is left.
func WithoutEmpty(t document.Table) (out document.Table, ok bool) {
	said := make([]bool, len(t.Columns))
	for _, r := range t.Rows {
		for i, c := range r.Cells {
			said[i] = said[i] || i == 0 || !document.Nothing(c.Text)
		}
	}
	if !slices.Contains(said[1:], true) {
		return t, false
	}
	t.Columns = kept(t.Columns, said)
	t.Rows = slices.Clone(t.Rows)
	for i, r := range t.Rows {
		if r.Group == nil {
			t.Rows[i].Cells = kept(r.Cells, said)
		}
	}
	return t, true
}

// withoutWithheld leaves out the rows that only say that they are withheld, with
// heads that then have none, and says how many.
func withoutWithheld(t document.Table) document.Table {
	var rows []document.Row
	for _, r := range t.Rows {
		if last := len(rows) - 1; r.Group != nil && last >= 0 && rows[last].Group != nil {
			rows = rows[:last]
		}
		if !isWithheld(r) {
			rows = append(rows, r)
		}
	}
	if last := len(rows) - 1; last >= 0 && rows[last].Group != nil {
		rows = rows[:last]
	}
	left := 0
	for _, r := range t.Rows {
		if isWithheld(r) {
			left++
		}
	}
	if left > 0 {
		t.Below = document.Quiet("Left out for too few cases: " + wording.Of(left, "row") + ". ")
	}
	t.Rows = rows
	return t
}

// isWithheld is true of a row with no number behind its name.
func isWithheld(r document.Row) bool {
	few := false
	for i, c := range r.Cells {
		if i > 0 && strings.ContainsAny(c.Text, "0123456789") {
			return false
		}
		few = few || c.Text == tooFew
	}
	return few
}

// kept are the elements of a list that are wanted.
func kept[T any](list []T, wanted []bool) (out []T) {
	for i, x := range list {
		if wanted[i] {
			out = append(out, x)
		}
	}
	return out
}

// OrNoData leaves out the table of a figure that would be empty.
func OrNoData(t *document.Table) *document.Table {
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

// fill makes a row as wide as its table.
func (t *rowsOf) fill(cells ...document.Cell) {
	for len(cells) < len(t.Columns) {
		cells = append(cells, document.Cell{})
	}
	t.add(cells...)
}

// groups is a table of a family of comparisons of two groups.
func (m *Maker) groups(e *results.Exhibit, all []results.GroupComparison) document.Block {
	t := rowsOf{Table: table(e)}
	mixed := false
	for _, c := range all {
		mixed = mixed || c.Group.Name != all[0].Group.Name
	}
	for _, c := range chosen(e, all) {
		if c.Suppressed {
			continue
		}
		name := wording.Capital(m.Names.Movement(c.By))
		if c.By.Course != "" {
			name += ", " + wording.Course(c.By.Course)
		}
		if !c.By.AllTeeth() {
			name += ", " + wording.Place(c.By, m.Settings.Notation)
		}
		if mixed {
			t.group(name)
			if name = c.Group.Name; !strings.HasPrefix(c.Reference.Name, "kept") {
				name += " v " + c.Reference.Name
			}
		}
		bold := c.Verdict.Clear()
		t.add(Words(name), Words(versus(c.Group.Cases, c.Reference.Cases)), Words(wording.Points(c.Unadjusted.Difference)), document.Cell{Text: Points(c.Adjusted), Strong: bold},
			Words(wording.P(c.Adjusted.PAdjusted)), document.Cell{Text: string(c.Verdict), Strong: bold, Notes: Notes(c.Warnings)})
	}
	return orNil(t.Table)
}

// byStyle sets one share a style side by side.
type byStyle struct {
	order []string
	cells map[string]map[casebook.Style]document.Cell
}

func (s *byStyle) put(row string, style casebook.Style, c document.Cell) {
	if s.cells == nil {
		s.cells = map[string]map[casebook.Style]document.Cell{}
	}
	if s.cells[row] == nil {
		s.order = append(s.order, row)
		s.cells[row] = map[casebook.Style]document.Cell{}
	}
	s.cells[row][style] = c
}

func (s *byStyle) table(e *results.Exhibit, styles []casebook.Style) document.Block {
	t := rowsOf{Table: table(e)}
	t.Columns = t.Columns[:1]
	for _, st := range styles {
		t.Columns = append(t.Columns, document.Column{Title: wording.Capital(wording.Style(st)), Number: true})
	}
	for _, name := range s.order {
		row := []document.Cell{Words(name)}
		for _, st := range styles {
			c, ok := s.cells[name][st]
			if !ok {
				c = Words(wording.Dash)
			}
			row = append(row, c)
		}
		t.add(row...)
	}
	return orNil(t.Table)
}
