package privacy

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// CellsNamed is how many cells of one column are named for one rule; the
// others are counted, with the rows they span.
const CellsNamed = 100

// Screen lists everything in a file that looks like an identifier: none where
// it is clean. Each problem names its place and never what stands there.
func Screen(in Input) []casebook.Problem {
	s := &screener{in: in, seen: map[cellKey]rules.ID{}}
	s.newest = s.newestYear()
	s.file = in.File
	if s.classify(strings.TrimSuffix(in.File, filepath.Ext(in.File)), label) != "" {
		s.file = "(name withheld)"
		s.add(rules.IdentifierName, casebook.Problem{Message: "the name of the file looks like an identifier"})
	}
	for i, sheet := range in.Sheets {
		s.sheet(i, sheet)
	}
	for _, c := range in.Comments {
		if id := s.classify(c.Text, comment); id != "" {
			s.add(id, casebook.Problem{Sheet: s.sheetName(c.Sheet), Cell: c.Cell, Class: "comment", Message: "a comment holds " + noun[id]})
		}
	}
	for _, p := range in.Properties {
		s.property(p)
	}
	return s.problems
}

var noun = map[rules.ID]string{
	rules.IdentifierName:    "what looks like a person's name",
	rules.IdentifierDate:    "what looks like a date of birth or another exact date",
	rules.IdentifierContact: "what looks like contact details",
	rules.IdentifierNumber:  "what looks like a record, insurance or identity number",
	rules.IdentifierImage:   "what looks like the name of a photograph or scan",
	rules.IdentifierText:    "free text",
}

// announced is what a header says the cells below it hold.
var announced = map[rules.ID]string{
	rules.IdentifierName:    "names of persons",
	rules.IdentifierDate:    "dates of birth or other exact dates",
	rules.IdentifierContact: "contact details",
	rules.IdentifierNumber:  "record, insurance or identity numbers",
	rules.IdentifierImage:   "photographs, scans or other biometric records",
	rules.IdentifierText:    "free text",
}

// screener is the state of one file.
type screener struct {
	in       Input
	file     string // withheld where the name itself is a finding
	newest   int    // latest year in a column of months, 0 for none
	withheld map[string]string
	seen     map[cellKey]rules.ID
	long     int // texts beyond longText so far
	problems []casebook.Problem
}

// cellKey: equal texts under the same use get one look.
type cellKey struct {
	text string
	use  use
}

func (s *screener) add(id rules.ID, p casebook.Problem) {
	made := rules.New(id, "%s", p.Message)
	p.Rule, p.Severity, p.Remedy, p.File = made.Rule, made.Severity, made.Remedy, s.file
	s.problems = append(s.problems, p)
}

// sheetName is the name to print: its number where the name is a finding.
func (s *screener) sheetName(name string) string {
	if w, ok := s.withheld[name]; ok {
		return w
	}
	return name
}

// cleanProperties is what to do where only the properties are at fault: the
// pseudonyms in the cells can stay, which an anonymised copy would replace.
const cleanProperties = "Only the properties of the file need to change, not its cells: in a spreadsheet program open File, then Properties " +
	"or Info, remove personal information such as author and last modified by, and save; or save the sheet as .csv, which has no properties. " +
	"A name in the properties is never kept, so where it is all that was found, --allow-identifiers is safe too"

func (s *screener) property(p Property) {
	u, pieces := label, []string{p.Text}
	switch p.Name {
	case "author", "last modified by", "manager", "company", "comment author":
		u = person
	case "description":
		u = heading
	case "threaded comment":
		u = comment
	case "message of a check", "text box", "alternative text", "scenario":
		u = sentence
	case "link", "folder in which it was saved", "view of the workbook":
		pieces = append(pieces, strings.FieldsFunc(strings.ReplaceAll(p.Text, " - ", "/"), func(r rune) bool { return r == '/' || r == '\\' })...)
	}
	id := rules.ID("")
	for _, piece := range pieces {
		if id = s.classify(piece, u); id != "" {
			break
		}
	}
	if id != "" {
		name, _, _ := strings.Cut(p.Name, "custom property ") // the name of a custom one is the user's own text
		if name == "" {
			name = "a custom property"
		}
		s.add(id, casebook.Problem{Class: "document property", Message: "the document properties (" + name + ") hold " + noun[id]})
		s.problems[len(s.problems)-1].Remedy = cleanProperties
	}
}

// sheet looks at the name, the headers and the cells of a sheet.
func (s *screener) sheet(i int, sh Sheet) {
	if s.classify(sh.Name, label) != "" {
		if s.withheld == nil {
			s.withheld = map[string]string{}
		}
		s.withheld[sh.Name] = fmt.Sprintf("number %d (name withheld)", i+1)
		s.add(rules.IdentifierName, casebook.Problem{Sheet: s.sheetName(sh.Name), Message: "the name of the sheet looks like an identifier"})
	}
	for _, f := range slices.Sorted(maps.Keys(sh.Constants)) {
		if id := s.body(Cell{Text: sh.Constants[f]}, useOf(f), f); id != "" {
			s.add(id, casebook.Problem{Sheet: s.sheetName(sh.Name), Message: "what stands above the table, or its name, gives as " + f.String() + " " + noun[id]})
		}
	}
	c := newColumns(s, sh)
	for cell := range sh.Cells(nil, &c.clean) {
		c.cell(cell)
	}
	c.finish()
}
