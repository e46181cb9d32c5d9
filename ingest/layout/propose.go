package layout

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Propose works out a mapping from headers, units and values. It finds the
// tables as reading does, so a proposal left as it is reads the same.
func Propose(b *sheet.Book) mapping.Proposal {
	f := Tables(b, nil)
	p := mapping.Proposal{FileName: b.File.Name}
	if privacy.LabelRule(strings.TrimSuffix(b.File.Name, filepath.Ext(b.File.Name))) != "" {
		p.FileName = withheld
	}
	var teeth values.Notations
	var marks values.Evidence
	for _, t := range f.Tables {
		s := mapping.SheetProposal{
			Name: t.Sheet.Name, Kind: t.Kind.String(), Header: t.Header, HeaderRows: t.Body - t.Header,
		}
		if t.Constants[columns.Case] == t.Sheet.Name {
			s.Case = "sheet name"
		}
		for _, c := range t.Columns {
			t.note(c, &teeth, &marks)
			if !c.Shared {
				s.Columns = append(s.Columns, t.propose(c))
			}
		}
		for _, pair := range t.Pairs {
			s.Movements = append(s.Movements, t.declare(pair))
			teeth.Note(values.ParseTooth(pair.Tooth), 1)
		}
		for _, d := range columns.Of(t.Kind) {
			if d.Required && !f.present(t, d) {
				s.Missing = append(s.Missing, d.Header)
			}
		}
		p.Sheets = append(p.Sheets, s)
	}
	for _, name := range f.Skipped {
		i := slices.IndexFunc(b.Sheets, func(s *sheet.Sheet) bool { return s.Name == name })
		p.Sheets = append(p.Sheets, unknown(b.Sheets[i]))
	}
	p.Sheets = withoutNames(p.Sheets)
	p.Words = f.words()
	p.Notation = teeth.Decide().String()
	if d := marks.Decimal(); d != 0 {
		p.Decimal = string(rune(d))
	}
	return p
}

// withheld stands for a name that looks as if it identified a person.
const withheld = "(name withheld)"

// withoutNames keeps names of persons out of the proposal: sheets named after
// patients become one entry for every sheet not named.
func withoutNames(sheets []mapping.SheetProposal) []mapping.SheetProposal {
	var out []mapping.SheetProposal
	rest := false
	for _, s := range sheets {
		if privacy.LabelRule(s.Name) != "" {
			if rest {
				continue
			}
			rest, s.Name = true, "*"
		}
		out = append(out, s)
	}
	return out
}

// unknown proposes nothing for a sheet without a recognised table, and writes
// down what its columns may be for a person to decide.
func unknown(s *sheet.Sheet) mapping.SheetProposal {
	p := mapping.SheetProposal{Name: s.Name, Skip: true}
	i := slices.IndexFunc(s.Rows, func(r sheet.Row) bool { return r.Len() >= 3 && onlyWords(r) })
	if i < 0 {
		return p
	}
	t := &Table{Sheet: s, Kind: casebook.MovementKind, Header: s.Rows[i].Number, Body: s.Rows[i].Number + 1}
	p.Kind, p.Header = t.Kind.String(), t.Header
	for _, cell := range s.Rows[i].All() {
		c := Column{Header: parse(sheet.Clean(cell.Text), t.Kind), Col: int(cell.Col), Text: sheet.Clean(cell.Text)}
		col := mapping.ColumnProposal{Header: c.Text, Letter: sheet.ColumnName(c.Col), Field: c.Field.String()}
		if c.Field == columns.NoField {
			col.Field, col.Hint = mapping.Ignore, t.hint(c)
		}
		p.Columns = append(p.Columns, col)
	}
	return p
}

// note gathers evidence from the cells of a column.
func (t *Table) note(c Column, teeth *values.Notations, marks *values.Evidence) {
	for _, r := range t.Sheet.Rows {
		cell := r.At(c.Col)
		if r.Number < t.Body || cell.Kind == sheet.Blank {
			continue
		}
		if c.Field == columns.Tooth {
			teeth.Note(values.ParseTooth(cell.Text), 1)
		} else if cell.Kind == sheet.String {
			marks.Note(cell.Text)
		}
	}
}

func (t *Table) propose(c Column) mapping.ColumnProposal {
	p := mapping.ColumnProposal{Header: c.Text, Letter: sheet.ColumnName(c.Col), Field: c.Field.String()}
	same := func(o Column) bool { return o.Text == c.Text && o.Col != c.Col }
	if slices.ContainsFunc(t.Columns, same) {
		p.Header = "(" + p.Letter + ")" // the header alone does not tell them apart
	}
	switch {
	case c.Field == columns.NoField:
		p.Field, p.Hint = mapping.Ignore, t.hint(c)
	case !c.Canonical:
		p.Hint = "a usual name of the field"
	}
	return p
}

func (t *Table) declare(pair Pair) mapping.Pair {
	p := mapping.Pair{
		Tooth: pair.Tooth, Planned: t.HeaderOf(pair.Cols[columns.Planned]), Achieved: t.HeaderOf(pair.Cols[columns.Achieved]),
		Percent: t.HeaderOf(pair.Cols[columns.StatedPercent]), Style: t.HeaderOf(pair.Cols[columns.Style]),
	}
	if pair.Direction != casebook.NoDirection {
		p.Axis = pair.Direction.String()
	} else if pair.Axis != casebook.NoAxis {
		p.Axis = pair.Axis.String()
	}
	if pair.Course > 0 {
		p.Course = fmt.Sprint(pair.Course)
	}
	return p
}

// hint says what an unread column may be: the nearest name, else what its
// values look like.
func (t *Table) hint(c Column) string {
	bare, _ := stripUnit(c.Text)
	for _, d := range columns.Of(t.Kind) {
		if near := values.Nearest(bare, append([]string{d.Header}, d.Synonyms...)); near != "" && !t.Has(d.Field) {
			return fmt.Sprintf("did you mean %q?", d.Field)
		}
	}
	for _, l := range looks {
		if !t.Has(l.field) && t.mostly(c.Col, l.is) {
			return fmt.Sprintf("the values look like %s; write %q if they are", l.plural, l.field)
		}
	}
	return "no field was recognised"
}

// looks are fields that values alone can suggest.
var looks = []struct {
	field  columns.Field
	plural string
	is     func(sheet.Cell) bool
}{
	{columns.Axis, "axes", func(c sheet.Cell) bool { _, _, err := values.ParseAxis(c.Text); return err == nil }},
	{columns.Direction, "directions", func(c sheet.Cell) bool { _, err := values.ParseDirection(c.Text, 0); return err == nil }},
	{columns.Status, "case statuses", func(c sheet.Cell) bool { _, err := values.ParseStatus(c.Text); return err == nil }},
	{columns.Style, "feature styles", func(c sheet.Cell) bool {
		_, err := values.ParseStyle(c.Text)
		return err == nil && c.Kind == sheet.String
	}},
	{columns.StartMonth, "dates", func(c sheet.Cell) bool {
		_, err := values.ParseMonth(c.Text, values.DayFirst)
		return c.Kind == sheet.Date || err == nil
	}},
	{columns.Tooth, "teeth", func(c sheet.Cell) bool { t := values.ParseTooth(c.Text); return t.FDI != 0 || t.Palmer != 0 }},
}

// mostly reports whether nine in ten of the first cells of a column pass.
func (t *Table) mostly(col int, is func(sheet.Cell) bool) bool {
	yes, all := 0, 0
	for _, r := range t.Sheet.Rows {
		if c := r.At(col); r.Number >= t.Body && c.Kind != sheet.Blank && all < 200 {
			all++
			if is(c) {
				yes++
			}
		}
	}
	return all >= 3 && 10*yes >= 9*all
}
