package layout

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Found is what the sheets of a file hold.
type Found struct {
	Tables   []*Table
	Skipped  []string // sheets with cells and no table
	Invented bool
	Problems []casebook.Problem

	asker    *question.Asker
	declared mapping.Whole
}

// Tables finds the tables of a file. Problems of severity error among those
// found mean that the sheet named cannot be read.
func Tables(b *sheet.Book, m *mapping.File) *Found {
	a := &question.Asker{}
	if m != nil {
		a.Answers = m.Answers
	}
	return Asking(b, m, a)
}

// Asking is Tables that puts what the sheets leave open to the asker; a question
// that stays open means that the sheet cannot be read.
func Asking(b *sheet.Book, m *mapping.File, a *question.Asker) *Found {
	f := &Found{Invented: invented(b), asker: a}
	if m != nil {
		f.declared = m.File
	}
	for _, s := range b.Sheets {
		if ignored(s.Name) && !holdsCases(s, m.Sheet(s.Name)) {
			continue
		}
		if written(s.Name) && m.Sheet(s.Name) == nil {
			f.Skipped = append(f.Skipped, s.Name)
			f.add(rules.SheetSkipped, s, "the sheet is a list of an annotated copy; it was not read").Severity = casebook.Info
			continue
		}
		f.sheet(s, m.Sheet(s.Name))
	}
	f.spare()
	f.fieldByName()
	f.courseByName()
	f.casePerSheet()
	for _, t := range f.Tables {
		f.positions(t)
		f.required(t)
		f.styleByValues(t)
	}
	f.unmatched(b, m)
	for i := range f.Problems {
		f.Problems[i].File = b.File.Name
	}
	return f
}

// HeaderHash names the layout of a file: a hash of the headers of its tables,
// folded, in order. Files of one layout have one hash, whatever their sheets and
// rows.
func (f *Found) HeaderHash() string {
	h := sha256.New()
	seen := map[string]bool{}
	for _, t := range f.Tables {
		if s := t.shape(); !seen[s] {
			seen[s] = true
			fmt.Fprintln(h, t.Kind, s)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// holdsCases reports a table with a column of cases: a sheet of a practice's own
// that is called as one of ours.
func holdsCases(s *sheet.Sheet, declared *mapping.Sheet) bool {
	c, ok := find(s, declared)
	if !ok {
		return false
	}
	has := map[columns.Field]bool{}
	for _, text := range c.texts {
		has[parse(text, c.kind).Field] = true
	}
	return has[columns.Case] && (has[columns.Tooth] && has[columns.Planned] || has[columns.Status] || has[columns.Course] && has[columns.CourseStart])
}

func ignored(name string) bool {
	n := strings.ToLower(strings.TrimSpace(name))
	return n == columns.InstructionsSheet || n == columns.ListsSheet
}

// written reports a sheet that an annotated copy adds: it repeats rows of the
// others.
func written(name string) bool {
	return name == columns.ProblemSheet || name == columns.AcceptedSheet || name == columns.RejectedSheet
}

// invented looks for the mark in the first rows of every sheet and in the
// document properties.
func invented(b *sheet.Book) bool {
	mark := func(s string) bool { return strings.Contains(strings.ToLower(s), columns.InventedMark) }
	for _, p := range b.Properties {
		if (p.Name == "description" || p.Name == "category") && mark(p.Value) {
			return true
		}
	}
	for _, s := range b.Sheets {
		for _, r := range s.Rows[:min(5, len(s.Rows))] {
			if r.Number <= 5 && r.Any(func(c sheet.Cell) bool { return mark(c.Text) }) {
				return true
			}
		}
	}
	return false
}

func (f *Found) add(id rules.ID, s *sheet.Sheet, format string, args ...any) *casebook.Problem {
	p := rules.New(id, format, args...)
	p.Sheet = s.Name
	f.Problems = append(f.Problems, p)
	return &f.Problems[len(f.Problems)-1]
}

func (f *Found) sheet(s *sheet.Sheet, declared *mapping.Sheet) {
	if len(s.Rows) == 0 {
		return
	}
	if declared != nil && declared.Skip {
		f.Skipped = append(f.Skipped, s.Name)
		return
	}
	c, ok := find(s, declared)
	if !ok {
		f.Skipped = append(f.Skipped, s.Name)
		f.add(rules.SheetSkipped, s, "no header row was recognised on the sheet; it was not read")
		return
	}
	t := &Table{
		Sheet: s, Kind: c.kind, Header: s.Rows[c.index].Number, Constants: map[columns.Field]string{},
	}
	t.Body = t.Header + c.rows
	t.declared = declared != nil
	for _, r := range s.Rows {
		if r.Len() > 0 {
			t.Last = r.Number // hidden rows may hold nothing
		}
	}
	f.columns(t, c, declared)
	f.headless(t)
	f.labels(t, c.index)
	if declared != nil {
		for name, v := range declared.Constants {
			fld, _ := columns.ParseField(name)
			t.Constants[fld] = v
		}
		if declared.Case == "sheet name" {
			t.Constants[columns.Case] = s.Name
		}
	}
	t.titles = titles(s, c.index)
	t.pairUp()
	f.secondHeader(t)
	t.Flat = t.Kind == casebook.MovementKind && t.hasAny(caseFields)
	if c.rows == 2 {
		f.add(rules.LayoutAssumed, s, "rows %d and %d were read as a header of two rows", t.Header, t.Header+1)
	}
	if len(t.Pairs) > 0 {
		f.add(rules.LayoutAssumed, s, "the sheet was read as wide: %d movements a row", len(t.Pairs))
	}
	f.Tables = append(f.Tables, t)
}

func (t *Table) hasAny(fields map[columns.Field]bool) bool {
	for fld := range fields {
		if t.Has(fld) {
			return true
		}
	}
	return false
}

// columns gives each header its field: the declared one, else the one it names.
func (f *Found) columns(t *Table, c candidate, declared *mapping.Sheet) {
	for col, text := range c.texts {
		holds, ignore, ok := declared.Holds(text, sheet.ColumnName(col))
		column := Column{Col: col, Text: text, Declared: ok}
		switch {
		case ok && !ignore:
			column.Header = declaredHeader(text, holds.Field, t.Kind)
			if holds.Axis != casebook.NoAxis {
				column.Axis, column.Direction = holds.Axis, holds.Direction
			}
		case !ok:
			column.Header = parse(text, t.Kind)
		}
		t.Columns = append(t.Columns, column)
	}
	slices.SortFunc(t.Columns, func(a, b Column) int { return a.Col - b.Col })
	t.declarePairs(declared)
	t.settle()
	t.ratings()
	f.ofMovements(t)
	f.sameField(t)
	t.index()
	for i, c := range t.Columns {
		ref := sheet.Ref(t.Header, c.Col)
		switch {
		case c.Field == columns.NoField && c.Mark != casebook.NoStyle && t.Marks[c.Col] != casebook.NoStyle:
			p := f.add(rules.ColumnAssumed, t.Sheet, "the column was read as yes or no to %s", c.Mark)
			p.Cell, p.Column = ref, c.Text
		case c.Field == columns.NoField && slices.Contains(t.undecided, i):
		case c.Field == columns.NoField && !c.Declared:
			p := f.add(rules.ColumnUnread, t.Sheet, "the column was not read")
			p.Cell, p.Column = ref, c.Text
		case !c.Canonical && !c.Declared && !c.wide() && c.Field != columns.NoField:
			p := f.add(rules.ColumnAssumed, t.Sheet, "the column was read as %s", c.Field)
			p.Cell, p.Column = ref, c.Text
		}
	}
}

// declaredHeader is the header of a column whose field a mapping gives: what the
// text says about unit, notation and numbering still holds.
func declaredHeader(text string, f columns.Field, k casebook.Kind) Header {
	h := parse(text, k)
	if h.Field != f {
		_, unit := stripUnit(text)
		return Header{Field: f, Unit: unit, Notation: h.Notation, Scale: h.Scale}
	}
	return Header{Scale: h.Scale, First: h.First, Field: f, Rated: h.Rated, Canonical: h.Canonical, Unit: h.Unit, Notation: h.Notation, AfterRefinement: h.AfterRefinement}
}

// headless reports columns that hold cells and have no header.
func (f *Found) headless(t *Table) {
	seen := map[int32]bool{}
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body {
			continue
		}
		for _, c := range r.All() {
			if seen[c.Col] {
				continue
			}
			seen[c.Col] = true
			if _, ok := t.ColumnAt(int(c.Col)); !ok {
				p := f.add(rules.ColumnUnread, t.Sheet, "the column holds cells and has no header; it was not read")
				p.Cell = sheet.Ref(r.Number, int(c.Col))
			}
		}
	}
}

// declarePairs applies the wide columns a mapping declares.
func (t *Table) declarePairs(declared *mapping.Sheet) {
	if declared == nil {
		return
	}
	for _, d := range declared.Movements {
		h := Header{Tooth: d.Tooth}
		h.Axis, h.Direction, _ = values.ParseAxis(d.Axis)
		h.Course, _ = values.ParseCourse(d.Course)
		for _, of := range []struct {
			field columns.Field
			name  string
		}{{columns.Planned, d.Planned}, {columns.Achieved, d.Achieved}, {columns.StatedPercent, d.Percent}, {columns.Style, d.Style}} {
			for i := range t.Columns {
				if c := &t.Columns[i]; of.name != "" && (c.Text == of.name || "("+sheet.ColumnName(c.Col)+")" == of.name) {
					h.Field = of.field
					_, h.Unit = stripUnit(c.Text)
					c.Header, c.Declared = h, true
				}
			}
		}
	}
}

// sameField settles or refuses two columns with one field.
func (f *Found) sameField(t *Table) {
	type claim struct {
		Field columns.Field
		Pairing
	}
	claims := map[claim][]int{}
	var order []claim // by the first column of each
	for i, c := range t.Columns {
		if c.Field != columns.NoField {
			k := claim{c.Field, Pairing{c.Tooth, c.Axis, c.Direction, c.Course}}
			if claims[k] == nil {
				order = append(order, k)
			}
			claims[k] = append(claims[k], i)
		}
	}
	twice := 0
	var refused [][]int
	for _, k := range order {
		at := claims[k]
		if len(at) < 2 || f.twins(t, k.Field, at) {
			continue
		}
		if k.Field == columns.Case || k.Field == columns.Tooth || k.Field == columns.Planned {
			twice++
		}
		winners := slices.DeleteFunc(slices.Clone(at), func(i int) bool { return !t.Columns[i].Declared })
		if len(winners) == 0 && !(k.Field == columns.Status && t.hasOutcome(at)) {
			winners = slices.DeleteFunc(slices.Clone(at), func(i int) bool { return !t.Columns[i].Canonical })
		}
		if len(winners) != 1 {
			refused = append(refused, at)
			continue
		}
		for _, i := range at {
			if i != winners[0] {
				t.Columns[i].Header = Header{}
			}
		}
	}
	if twice >= 2 && len(refused) > 0 {
		p := f.add(rules.TablesSeveral, t.Sheet, "the header names the same columns twice, side by side")
		first := slices.MinFunc(refused, func(a, b []int) int { return a[1] - b[1] })
		p.Cell = sheet.Ref(t.Header, t.Columns[first[1]].Col)
		return
	}
	for _, at := range refused {
		f.askWhich(t, at)
	}
}

// twins notes an amount that the sheet keeps in two columns, one in millimetres
// and one in degrees.
func (f *Found) twins(t *Table, fld columns.Field, at []int) bool {
	d, _ := columns.Find(t.Kind, fld)
	if len(at) != 2 || d.Type != columns.Amount || d.Unit == casebook.Millimetre.String() {
		return false
	}
	a, b := t.Columns[at[0]], t.Columns[at[1]]
	if a.wide() || b.wide() {
		return false
	}
	if a.Unit == casebook.Degree {
		a, b = b, a
	}
	if a.Unit != casebook.Millimetre || b.Unit != casebook.Degree {
		return false
	}
	if t.twins == nil {
		t.twins = map[columns.Field]Twins{}
	}
	t.twins[fld] = Twins{a.Col, b.Col}
	p := f.add(rules.LayoutAssumed, t.Sheet, "%s is kept in two columns, one in mm and one in degrees; each row was read from the one it fills", fld)
	p.Cell = sheet.Ref(t.Header, min(a.Col, b.Col))
	return true
}

// labels reads "case: P-001" or a label with its value to the right above the
// header as constants of a table without such a column.
func (f *Found) labels(t *Table, header int) {
	for _, r := range t.Sheet.Rows[:header] {
		for i, c := range r.All() {
			if c.Kind != sheet.String {
				continue
			}
			label, value, inOne := strings.Cut(c.Text, ":")
			if value = strings.TrimSpace(value); !inOne || value == "" {
				if i+1 >= r.Len() || r.Cell(i+1).Col != c.Col+1 {
					continue
				}
				value = r.Cell(i + 1).Text
			}
			h := parse(clean(label), casebook.MovementKind)
			if h.Weak || h.wide() {
				continue
			}
			if h.Field != columns.Case && h.Field != columns.Course && !IsCaseField(h.Field) || t.Has(h.Field) {
				continue
			}
			if _, err := values.ParseStatus(value); err == nil && h.Field == columns.EndMonth {
				h.Field = columns.Status // "closed: completed"
			}
			t.Constants[h.Field] = strings.TrimSpace(value)
			p := f.add(rules.LayoutAssumed, t.Sheet, "the label above the table was read as %s for every row", h.Field)
			p.Cell = sheet.Ref(r.Number, int(c.Col))
		}
	}
}

// casePerSheet takes the sheet name as the case where several sheets of the
// same columns have none. Names that programs give to new sheets, and names of
// courses, are no cases.
func (f *Found) casePerSheet() {
	alike := map[string][]*Table{}
	for _, t := range f.Tables {
		if t.Kind == casebook.MovementKind && !t.Has(columns.Case) && !plainName(t.Sheet.Name) {
			alike[t.shape()] = append(alike[t.shape()], t)
		}
	}
	for _, shape := range slices.Sorted(maps.Keys(alike)) {
		if len(alike[shape]) < 2 {
			continue
		}
		for _, t := range alike[shape] {
			t.Constants[columns.Case] = t.Sheet.Name
			f.add(rules.LayoutAssumed, t.Sheet, "the sheet was read as one case, named after the sheet")
		}
	}
}

// newSheets are the names that spreadsheet programs give to new sheets, in the
// languages of the lexicon, without their number (common practice, no source).
var newSheets = []string{"sheet", "table", "tabelle", "blatt", "feuil", "feuille", "hoja", "foglio", "folha", "planilha", "blad", "arkusz", "data", "daten"}

// plainName reports the name of a sheet that cannot be a case.
func plainName(name string) bool {
	if _, ok := saidCourse(name); ok {
		return true
	}
	return slices.Contains(newSheets, strings.TrimSpace(strings.TrimRight(values.Key(name), "0123456789")))
}

// Shape names the headers of one table: tables of the same headers in the same columns
// have one.
func (t *Table) Shape() string {
	sum := sha256.Sum256([]byte(t.shape()))
	return hex.EncodeToString(sum[:4])
}

// shape is the header of a table as one text.
func (t *Table) shape() string {
	var sb strings.Builder
	for _, c := range t.Columns {
		fmt.Fprintln(&sb, c.Col, values.Key(c.Text))
	}
	return sb.String()
}

// unmatched reports what the mapping names and the file lacks.
func (f *Found) unmatched(b *sheet.Book, m *mapping.File) {
	if m == nil {
		return
	}
	for _, d := range m.Sheets {
		i := slices.IndexFunc(b.Sheets, func(s *sheet.Sheet) bool { return s.Name == d.Name })
		if d.Name != "*" && i < 0 {
			p := rules.New(rules.MappingUnmatched, "the mapping names a sheet that the file lacks")
			p.Sheet = d.Name
			f.Problems = append(f.Problems, p)
		}
	}
	for _, t := range f.Tables {
		d := m.Sheet(t.Sheet.Name)
		if d == nil || d.Name == "*" {
			continue
		}
		named := slices.Collect(maps.Keys(d.Columns))
		for _, pair := range d.Movements {
			named = append(named, pair.Planned, pair.Achieved, pair.Percent, pair.Style)
		}
		slices.Sort(named)
		for _, name := range slices.Compact(named) {
			if name != "" && !slices.ContainsFunc(t.Columns, func(c Column) bool {
				return c.Text == name || "("+sheet.ColumnName(c.Col)+")" == name
			}) {
				p := f.add(rules.MappingUnmatched, t.Sheet, "the mapping names a column that the sheet lacks")
				p.Column = name
			}
		}
	}
}
