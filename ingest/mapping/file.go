// Package mapping is the file in which a practice says how its own spreadsheet
// is to be read: which column means what, in which notation, with which signs.
//
// Place in the pipeline: `shortfall map` writes such a file from a proposal of
// package layout, a person edits it, ingest applies it. It is TOML, versioned;
// a key it does not know is an error that names the nearest known key.
package mapping

import "shortfall/ingest/casebook"

// Version of the format written and read here.
const Version = 1

// File is a whole mapping. Every part may be left out.
type File struct {
	Version  int                          `toml:"version"`
	File     Whole                        `toml:"file"`
	Missing  Missing                      `toml:"missing"`
	Answers  map[string]string            `toml:"answers"`  // question -> choice, as reading asks them
	Words    map[string]map[string]string `toml:"words"`    // field -> word in the file -> word of the program
	Positive map[string]string            `toml:"positive"` // axis -> direction that the file writes as positive
	Sheets   []Sheet                      `toml:"sheet"`
	Waivers  []Waiver                     `toml:"waiver"`
}

// Whole says what holds for the whole file.
type Whole struct {
	Notation string `toml:"notation"` // "fdi", "universal" or "palmer"
	Decimal  string `toml:"decimal"`  // "." or ","
	Dates    string `toml:"dates"`    // "day first" or "month first"
	Amounts  string `toml:"amounts"`  // "signed" or "sizes"
	Planned  string `toml:"planned"`  // "movement" or "end position"
	Achieved string `toml:"achieved"` // "movement", "residual" or "end position"
	Percent  string `toml:"percent"`  // "percent" (62) or "fraction" (0.62)

	// BlankStyle is what a blank cell of the attachment means: "none" or "not recorded".
	BlankStyle string `toml:"blank_attachment"`
}

// Missing lists the texts and numbers that mean "not measured".
type Missing struct {
	Codes []string `toml:"codes"`
}

// Sheet says how one sheet is read.
type Sheet struct {
	Name       string            `toml:"name"` // "*" for every sheet not named
	Skip       bool              `toml:"skip"`
	Kind       string            `toml:"kind"`        // "case", "course", "movement" or "repeat"; "ignore" as skip
	Header     int               `toml:"header"`      // row of the header, the first of two
	HeaderRows int               `toml:"header_rows"` // 1 or 2
	Case       string            `toml:"case"`        // "sheet name" where the sheet is a case
	Columns    map[string]string `toml:"columns"`     // header or letter in parentheses -> field, or "ignore"
	Constants  map[string]string `toml:"constants"`   // field -> value for every row
	Movements  []Pair            `toml:"movement"`    // columns of a wide sheet
}

// Pair is one movement of a wide sheet: which columns hold it.
type Pair struct {
	Tooth    string `toml:"tooth"`
	Axis     string `toml:"axis"`
	Course   string `toml:"course"`
	Planned  string `toml:"planned"`
	Achieved string `toml:"achieved"`
	Percent  string `toml:"percent"`
	Style    string `toml:"style"`
}

// Waiver accepts findings of one rule, with a reason.
type Waiver struct {
	Rule   string `toml:"rule"`
	Sheet  string `toml:"sheet"`
	Cell   string `toml:"cell"`
	Row    int    `toml:"row"`
	Reason string `toml:"reason"` // errors cannot be waived, only warnings and notes
}

// Ignore in place of a field leaves a column unread on purpose.
const Ignore = "ignore"

// Sheet gives what is declared for a sheet, nil where nothing is.
func (f *File) Sheet(name string) *Sheet {
	if f == nil {
		return nil
	}
	var rest *Sheet
	for i := range f.Sheets {
		switch f.Sheets[i].Name {
		case name:
			return &f.Sheets[i]
		case "*":
			rest = &f.Sheets[i]
		}
	}
	return rest
}

// KindOf is the declared kind, NoKind where none is.
func (s *Sheet) KindOf() casebook.Kind {
	if s == nil {
		return casebook.NoKind
	}
	for _, k := range casebook.Kinds() {
		if k.String() == s.Kind {
			return k
		}
	}
	return casebook.NoKind
}
