package casebook

import (
	"cmp"
	"fmt"
	"strings"
)

// Kind of record a row holds.
type Kind uint8

// The four record kinds.
const (
	NoKind Kind = iota
	CaseKind
	CourseKind
	MovementKind
	RepeatKind
	endKind
)

var kindNames = names{"", "case", "course", "movement", "repeat"}

// Kinds lists the record kinds.
func Kinds() []Kind { return all[Kind](kindNames) }

func (k Kind) String() string { return kindNames.text(uint8(k)) }

// MarshalText writes the kind.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads the kind.
func (k *Kind) UnmarshalText(b []byte) error {
	i, err := kindNames.index("record kind", string(b))
	*k = Kind(i)
	return err
}

// File identifies an input file by content.
type File struct {
	Name   string `json:"name"` // base name as given; screened for identifiers before it is kept
	SHA256 string `json:"sha256"`
	Size   int64  `json:"size"`
	// Reading tells apart two readings of the same bytes: a hash of what was
	// declared about the file, "" where nothing was.
	Reading string `json:"-"`
}

// Source is where a record came from. Row is 1-based, as a spreadsheet shows it.
type Source struct {
	Sheet string `json:"sheet"`
	Row   int    `json:"row"`
}

// Cell is one located cell of original text. While a file is at hand all cells
// of a row are; only what parsed is kept beyond that (see Keep).
type Cell struct {
	Ref    string `json:"ref"` // "C12"
	Header string `json:"header"`
	Text   string `json:"text"`
	// Kept is the name of the column in our own words where the column was read
	// and the cell parsed, and "" where the cell may not be kept.
	Kept string `json:"kept,omitempty"`
}

// Keep gives the cells of an original row that may be kept: those that parsed,
// under the name of their column in our own words. A screen for identifiers
// always misses some, so nothing else of a sheet is ever stored.
func Keep(cells []Cell) []Cell {
	out := make([]Cell, 0, len(cells))
	for _, c := range cells {
		if c.Kept != "" {
			out = append(out, Cell{Ref: c.Ref, Header: c.Kept, Text: c.Text, Kept: c.Kept})
		}
	}
	return out
}

// Record is an accepted value with its origin and its original text.
type Record[T any] struct {
	Value    T
	Source   Source
	Original Original
}

// Rejected is a row that was read and not accepted; it is kept with its reasons.
type Rejected struct {
	Kind     Kind
	Source   Source
	Original Original
	Reasons  []Problem
}

// Severity of a problem.
type Severity uint8

// An error rejects the row (or the file); a warning and an info do not.
const (
	NoSeverity Severity = iota
	Info
	Warning
	Error
	endSeverity
)

var severityNames = names{"", "info", "warning", "error"}

func (s Severity) String() string { return severityNames.text(uint8(s)) }

// MarshalText writes the severity.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the severity.
func (s *Severity) UnmarshalText(b []byte) error {
	i, err := severityNames.index("severity", string(b))
	*s = Severity(i)
	return err
}

// Problem is one finding about the input: what, where and what to do. It never
// carries the offending value where that could identify a person.
type Problem struct {
	Rule     string   `json:"rule"` // stable id of the rule, "tooth-unknown"
	Severity Severity `json:"severity"`
	File     string   `json:"file"`
	Sheet    string   `json:"sheet,omitempty"`
	Cell     string   `json:"cell,omitempty"` // A1 reference, "" for a whole sheet or file
	Row      int      `json:"row,omitempty"`
	Column   string   `json:"column,omitempty"` // header text
	Class    string   `json:"class,omitempty"`  // what was found, as a class: "text", "blank", "date"
	Message  string   `json:"message"`
	Remedy   string   `json:"remedy"`
	// Word is one of the sheet and what it was read as; screened, so it is kept.
	Word WordRead `json:"word,omitzero"`
	// Count is how many the problem is about, where it sums up others.
	Count int `json:"count,omitempty"`
	// Answer is the one that the problem tells of; it is not kept.
	Answer AnswerTold `json:"-"`
}

// AnswerTold is the answer to a question: its id, and both in words.
type AnswerTold struct{ ID, Asked, Said string }

// MovementsRefused is the rule of the problem that counts the movements of a file that were
// refused in rows that are kept.
const MovementsRefused = "movements-refused"

// WordsRead is the rule of a problem with a word.
const WordsRead = "words-read"

// WordRead is a word of a sheet's own beside the one it was read as. Said is empty for
// words that are not kept, since they may name somebody.
type WordRead struct {
	Column string `json:"column"` // "attachment shape"
	Said   string `json:"said"`
	Means  string `json:"means"`
	Rows   int    `json:"rows"`
}

// CompareWords orders words by column, what they mean, and the commonest first.
func CompareWords(a, b WordRead) int {
	return cmp.Or(cmp.Compare(a.Column, b.Column), cmp.Compare(a.Means, b.Means), cmp.Compare(b.Rows, a.Rows), cmp.Compare(a.Said, b.Said))
}

// Keep gives what may be kept of a problem: its rule, its place and the class of
// what was found. Headers and messages can repeat words of the sheet; the
// catalogue of rules has the title and the remedy.
func (p Problem) Keep() Problem {
	return Problem{Rule: p.Rule, Severity: p.Severity, File: p.File, Sheet: p.Sheet, Cell: p.Cell, Row: p.Row, Class: p.Class, Word: p.Word, Count: p.Count}
}

// Error makes a problem usable as an error: where, what and the remedy.
func (p Problem) Error() string {
	where := p.File
	if p.Sheet != "" {
		where += ", sheet " + p.Sheet
	}
	switch {
	case p.Cell != "":
		where += ", cell " + p.Cell
	case p.Row > 0:
		where += fmt.Sprintf(", row %d", p.Row)
	}
	s := where + ": " + p.Message
	if p.Remedy != "" {
		if !strings.HasSuffix(s, "?") {
			s += "."
		}
		s += " " + p.Remedy
	}
	return s
}

// Counts reconcile for every sheet: Read = Accepted + Rejected + Blank.
// Read counts rows below the header, to the last row that holds anything.
type Counts struct {
	Read     int `json:"read"`
	Accepted int `json:"accepted"`
	Rejected int `json:"rejected"`
	Blank    int `json:"blank"` // empty, teeth without a plan, totals or marked example rows
}

// Add sums counts.
func (c Counts) Add(o Counts) Counts {
	return Counts{c.Read + o.Read, c.Accepted + o.Accepted, c.Rejected + o.Rejected, c.Blank + o.Blank}
}

// Balanced reports whether the counts reconcile.
func (c Counts) Balanced() bool { return c.Read == c.Accepted+c.Rejected+c.Blank }

// SheetCounts are the counts of one sheet.
type SheetCounts struct {
	Sheet string `json:"sheet"`
	Kind  Kind   `json:"kind"` // NoKind for a flat sheet that carries several kinds, or one that was skipped
	Counts
}

// Batch is everything one file gave: what ingest produces and store keeps.
// A flat sheet gives several records a row, so Counts count rows, not records.
type Batch struct {
	File      File
	Cases     []Record[Case]
	Courses   []Record[Course]
	Movements []Record[Movement]
	Repeats   []Record[Repeat]
	Rejected  []Rejected
	// RefusedMovements are the keys, where they could be read, of movements that stand
	// in the file and were not taken: of rejected rows, and of rows kept without them.
	RefusedMovements []MovementKey
	// RefusedAlone are how many movements were not taken of rows that are kept.
	RefusedAlone int
	Problems     []Problem
	Sheets       []SheetCounts
	Invented     bool // the file declares itself invented (demo) data
	// Notation is the one in which the file writes teeth, NoNotation where its tables
	// differ or none was read.
	Notation Notation
}

// CaseCodes are the different codes of cases in the records, as they come.
func (b *Batch) CaseCodes() (codes []string) {
	seen := map[string]bool{"": true}
	note := func(code string) {
		if !seen[code] {
			seen[code], codes = true, append(codes, code)
		}
	}
	for i := range b.Cases {
		note(b.Cases[i].Value.ID)
	}
	for i := range b.Courses {
		note(b.Courses[i].Value.Case.ID)
	}
	for i := range b.Movements {
		note(b.Movements[i].Value.Case.ID)
	}
	for i := range b.Repeats {
		note(b.Repeats[i].Value.Case.ID)
	}
	return codes
}

// Counts sums the counts of the sheets.
func (b *Batch) Counts() Counts {
	var c Counts
	for _, s := range b.Sheets {
		c = c.Add(s.Counts)
	}
	return c
}
