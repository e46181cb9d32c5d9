// Package columns is the list of columns a record can be read from: for every
// record kind its fields, their canonical headers, units, synonyms and allowed
// words.
//
// Place in the pipeline: the template is written from this list, the mapping
// proposes fields from it, ingest reads by it. It imports only casebook.
package columns

import (
	"encoding"
	"fmt"

	"shortfall/ingest/casebook"
)

// Names of the sheets that hold no records, and the marks a sheet can carry.
const (
	InstructionsSheet = "instructions"
	ListsSheet        = "lists"
	// Sheets that an annotated copy adds to those of the file.
	ProblemSheet  = "problems"
	AcceptedSheet = "accepted rows"
	RejectedSheet = "rejected rows"
	// ExampleID is the case id of a filled example row; such a row counts as blank.
	ExampleID = "EXAMPLE"
	// InventedMark, in one of the first rows of a sheet or in the workbook's
	// description or category, declares the file invented (demo) data.
	InventedMark = "invented data"
	// MissingCode is the word the template offers for a value that was not measured.
	MissingCode = "not measured"
)

// Type says how the text of a field is read.
type Type uint8

// The types of a field.
const (
	Code     Type = iota + 1 // a pseudonym or code, kept as text
	Count                    // a whole number, 0 or more
	Amount                   // a signed amount with a unit
	Percent                  // a percentage
	Month                    // a calendar month
	Word                     // one of the allowed words
	ToothID                  // a tooth in any of the three notations
	CourseNo                 // 1, "initial", "R1", "refinement 2"
	YesNo                    // yes or no
)

// Def describes one column of one record kind.
type Def struct {
	Field    Field
	Type     Type
	Header   string // canonical header, unit included: "change interval (days)"
	Unit     string // unit in words for the instructions: "days", "mm", "mm or degrees"
	Required bool   // the column must be there and each row must fill it
	Template bool   // part of the template; the others are read where a practice keeps them
	Synonyms []string
	Words    []string // allowed words, in list order, where Type is Word, YesNo or CourseNo
	// Meanings and Place are all that a column of plain words needs to be read,
	// kept and written: what cells say for each of Words, lists in the order of
	// Words (common practice, no source), and where a *casebook.Case, Course or
	// Movement has the word. Columns whose words need more have a parser in values.
	Meanings []string
	Place    func(record any) Worded
	About    string // one sentence for the instructions
	Example  string // text of the example row
}

// Worded is a place for one word of a vocabulary, "" where it was not recorded.
type Worded interface {
	fmt.Stringer
	encoding.TextUnmarshaler
}

// Of lists the columns of a record kind: first those of the template, in
// template order, then the others.
func Of(k casebook.Kind) []Def {
	switch k {
	case casebook.CaseKind:
		return caseColumns
	case casebook.CourseKind:
		return courseColumns
	case casebook.MovementKind:
		return movementColumns
	case casebook.RepeatKind:
		return repeatColumns
	}
	return nil
}

// Find gives the column of a field within a kind.
func Find(k casebook.Kind, f Field) (Def, bool) {
	for _, d := range Of(k) {
		if d.Field == f {
			return d, true
		}
	}
	return Def{}, false
}

// plain are the columns of plain words by kind.
var plain = func() map[casebook.Kind][]Def {
	out := map[casebook.Kind][]Def{}
	for _, k := range casebook.Kinds() {
		for _, d := range Of(k) {
			if d.Place != nil {
				out[k] = append(out[k], d)
			}
		}
	}
	return out
}()

// Plain lists the columns of plain words of a kind.
func Plain(k casebook.Kind) []Def { return plain[k] }

// IsPlain reports a field whose columns hold plain words.
func IsPlain(f Field) bool {
	for _, k := range casebook.Kinds() {
		for _, d := range plain[k] {
			if d.Field == f {
				return true
			}
		}
	}
	return false
}

// SheetName is the canonical name of the sheet that holds a kind.
func SheetName(k casebook.Kind) string {
	switch k {
	case casebook.CaseKind:
		return "cases"
	case casebook.CourseKind:
		return "courses"
	case casebook.MovementKind:
		return "movements"
	case casebook.RepeatKind:
		return "repeats"
	}
	return ""
}

// words turns an enumeration into its list of names.
func words[E interface{ String() string }](values []E) []string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = v.String()
	}
	return out
}
