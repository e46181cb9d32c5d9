package ingest

import (
	"fmt"
	"maps"
	"regexp"
	"slices"

	"shortfall/ingest/apart"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// A person may say what a column holds, where reading understood it otherwise or not at
// all: an answer to a question that reading itself never puts, whose words are the names
// of fields, mapping.Ignore for a column that is not to be read, and AsFound for what
// reading makes of it.

// AsFound takes back what was said of a column of an earlier file of the same headers.
const AsFound = "as found"

// An id names the headers of the table, so that it holds for every sheet of the same
// headers, in this file and in the next, or the number of a sheet on which no table is
// found.
var columnID = regexp.MustCompile(`^column ([A-Z]{1,3}) of (sheet [1-9][0-9]{0,3}|headers [0-9a-f]{8})$`)

// places name the sheets of a file for the ids of their columns.
func places(book *sheet.Book, found *layout.Found) map[string]string {
	out := map[string]string{}
	for i, s := range book.Sheets {
		out[s.Name] = fmt.Sprintf("sheet %d", i+1)
	}
	for _, t := range found.Tables {
		out[t.Sheet.Name] = "headers " + t.Shape()
	}
	return out
}

// ColumnGroup is a part of the list of what a column can be said to hold.
type ColumnGroup struct {
	Name   string
	Fields []ColumnName
}

// ColumnName is a field as a person calls it, or planned or achieved amounts of one movement
// of a wide sheet.
type ColumnName struct {
	Field columns.Field
	Text  string
	Axis  casebook.Axis
}

// Word is the answer that says it, as a mapping file writes it.
func (n ColumnName) Word() string {
	if n.Axis == casebook.NoAxis {
		return n.Field.String()
	}
	return n.Field.String() + " " + n.Axis.String()
}

// oneOfSeveral are the amounts of each movement of a sheet that has several in a row.
func oneOfSeveral() ColumnGroup {
	g := ColumnGroup{Name: "One of several movements in a row"}
	for _, a := range casebook.Axes() {
		for _, f := range []columns.Field{columns.Planned, columns.Achieved} {
			g.Fields = append(g.Fields, ColumnName{Field: f, Axis: a, Text: NameOf(f) + ", " + a.String()})
		}
	}
	return g
}

// ColumnGroups are all fields, in plain words, those of one thing together, and the amounts
// of each movement.
func ColumnGroups() []ColumnGroup {
	all := fieldGroups()
	return slices.Insert(all, 1, oneOfSeveral())
}

func fieldGroups() []ColumnGroup {
	return []ColumnGroup{
		{"Movement", []ColumnName{
			{Field: columns.Tooth, Text: "tooth"},
			{Field: columns.Axis, Text: "kind of movement"},
			{Field: columns.Direction, Text: "direction of the movement"},
			{Field: columns.Planned, Text: "planned amount"},
			{Field: columns.Achieved, Text: "achieved amount"},
			{Field: columns.Residual, Text: "amount still missing"},
			{Field: columns.StatedPercent, Text: "achieved, % of the plan"},
			{Field: columns.StartPosition, Text: "position before"},
			{Field: columns.TargetPosition, Text: "position planned"},
			{Field: columns.EndPosition, Text: "position reached"},
			{Field: columns.Unit, Text: "unit: mm or degrees"},
			{Field: columns.Quadrant, Text: "quadrant"},
			{Field: columns.Arch, Text: "upper or lower"},
			{Field: columns.Side, Text: "right or left"},
			{Field: columns.Staging, Text: "combined or sequenced"},
			{Field: columns.MeasuredBy, Text: "how it was measured"},
			{Field: columns.Confirmed, Text: "unlikely amounts confirmed"},
		}},
		{"Attachment", []ColumnName{
			{Field: columns.Style, Text: "attachment style"},
			{Field: columns.Shape, Text: "attachment shape"},
			{Field: columns.Orientation, Text: "attachment orientation"},
			{Field: columns.FeatureSize, Text: "attachment size, mm"},
			{Field: columns.Changed, Text: "attachment changed by the clinician"},
			{Field: columns.Lost, Text: "attachment lost"},
			{Field: columns.LostMonth, Text: "month the attachment was lost"},
		}},
		{"Case", []ColumnName{
			{Field: columns.Case, Text: "case"},
			{Field: columns.Practice, Text: "practice"},
			{Field: columns.Clinician, Text: "clinician"},
			{Field: columns.AgeBand, Text: "age group"},
			{Field: columns.Age, Text: "age in years"},
			{Field: columns.StartMonth, Text: "month treatment began"},
			{Field: columns.EndMonth, Text: "month treatment ended"},
			{Field: columns.Status, Text: "completed, under treatment, stopped"},
			{Field: columns.Refinements, Text: "number of refinements"},
			{Field: columns.PlannedAligners, Text: "aligners planned, whole treatment"},
			{Field: columns.ChangeDays, Text: "days an aligner is worn"},
			{Field: columns.Wear, Text: "wear"},
			{Field: columns.WearRecorded, Text: "when wear was recorded"},
		}},
		{"Course", []ColumnName{
			{Field: columns.Course, Text: "course"}, {Field: columns.CourseStart, Text: "month the course began"}, {Field: columns.AlignersPlanned, Text: "aligners planned, this course"}, {Field: columns.AlignersUsed, Text: "aligners used"},
		}},
		{"Measured twice", []ColumnName{{Field: columns.First, Text: "first measurement"}, {Field: columns.Second, Text: "second measurement"}}},
	}
}

// NameOf is what a person calls a field.
func NameOf(f columns.Field) string {
	for _, g := range fieldGroups() {
		for _, n := range g.Fields {
			if n.Field == f {
				return n.Text
			}
		}
	}
	return f.String()
}

// ColumnChoices are the answers about a column.
func ColumnChoices() []question.Choice {
	out := []question.Choice{{Word: mapping.Ignore, Text: "not to be read"}}
	for _, g := range ColumnGroups() {
		for _, f := range g.Fields {
			out = append(out, question.Choice{Word: f.Word(), Text: f.Text})
		}
	}
	return append(out, question.Choice{Word: AsFound, Text: "as the program understands it"})
}

// withoutColumns are the answers that questions of the file ask for.
func withoutColumns(a question.Answers) question.Answers {
	out := maps.Clone(a)
	maps.DeleteFunc(out, func(id, _ string) bool { return columnID.MatchString(id) })
	return out
}

// Laid is a file whose sheets and columns are understood.
type Laid struct {
	apart.Book
	Found *layout.Found
	// Mapping and Answers are what the file is read by: what was declared, and what a
	// person said of it or of an earlier file of the same headers. Of columns it is in
	// Mapping, so that it holds when headers of the book are changed.
	Mapping *mapping.File
	Answers question.Answers
	asker   *question.Asker
	places  map[string]string // of the sheets, for the ids of their columns
	// header names the layout; it is "" for a file of which no table is found without what
	// a person said of its columns: others of that kind need not be alike.
	header string
}

// ColumnID is the id of the answer that says what a column holds.
func (l Laid) ColumnID(sheetName, letter string) string {
	return "column " + letter + " of " + l.places[sheetName]
}

// Tables finds the tables of a file as reading does, with what is remembered.
func Tables(book *sheet.Book, o Options) Laid { return o.lay(book) }

// lay finds the tables of a file by the answers given and those remembered of an earlier
// file of the same headers.
func (o Options) lay(book *sheet.Book) Laid {
	given := answers(o)
	plain := withoutColumns(given)
	first := o.laidWith(book, plain, nil)
	first.places = places(book, first.Found)
	if len(first.Found.Tables) > 0 {
		first.header = first.Found.HeaderHash()
	}
	known := o.recall(first.header, given)
	if len(known) == 0 {
		if len(plain) == len(given) && len(unasked(first.asker, given)) == 0 {
			return first
		}
		known = given
	}
	out := o.laidWith(book, known, &first)
	out.header, out.places = first.header, first.places
	return out
}

// laidWith finds the tables by answers; first is the file as it is without what was said of
// its columns, nil where that is what is wanted.
func (o Options) laidWith(book *sheet.Book, known question.Answers, first *Laid) Laid {
	a := &question.Asker{Answers: known}
	m := o.Mapping
	if first != nil {
		m = declared(book, m, a, first.places)
	}
	odd := apart.Arrange(book, m, a)
	if first != nil {
		m = headed(odd.Plain, first.Found, m, unasked(first.asker, known), a)
	}
	return Laid{Book: odd, Found: layout.Asking(odd.Plain, m, a), Mapping: m, Answers: withoutColumns(known), asker: a}
}

// declared joins what was said of columns to a mapping.
func declared(book *sheet.Book, m *mapping.File, a *question.Asker, places map[string]string) *mapping.File {
	for _, id := range slices.Sorted(maps.Keys(a.Answers)) {
		part := columnID.FindStringSubmatch(id)
		if part == nil {
			continue
		}
		for _, s := range book.Sheets {
			if places[s.Name] != part[2] {
				continue
			}
			word := a.Offer(question.Question{ID: id, Sheet: s.Name, Text: "What is column " + part[1] + "?", Choices: ColumnChoices()})
			if word != "" && word != AsFound {
				m = withColumn(m, s.Name, "("+part[1]+")", word)
			}
		}
	}
	return m
}

// withColumn is a mapping that says of one more column what it holds.
func withColumn(m *mapping.File, name, column, word string) *mapping.File {
	out := mapping.File{Version: mapping.Version}
	if m != nil {
		out = *m
	}
	out.Sheets = slices.Clone(out.Sheets)
	i := slices.IndexFunc(out.Sheets, func(s mapping.Sheet) bool { return s.Name == name })
	if i < 0 {
		s := mapping.Sheet{}
		if rest := m.Sheet(name); rest != nil {
			s = *rest
		}
		s.Name, i = name, len(out.Sheets)
		out.Sheets = append(out.Sheets, s)
	}
	s := &out.Sheets[i]
	if s.Columns = maps.Clone(s.Columns); s.Columns == nil {
		s.Columns = map[string]string{}
	}
	s.Columns[column] = word
	return &out
}
