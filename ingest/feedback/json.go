package feedback

import (
	"encoding/json"
	"io"

	"shortfall/ingest/casebook"
)

// SchemaVersion of the JSON report; the major number changes when a field is
// removed or changes meaning.
const SchemaVersion = "1.0"

// Report is what was found in one file, as data. Rejected rows are named by
// place and rule; cell values are never in it.
type Report struct {
	SchemaVersion string                 `json:"schema_version"`
	File          casebook.File          `json:"file"`
	Usable        bool                   `json:"usable"` // false: refused as a whole
	Invented      bool                   `json:"invented"`
	Sheets        []casebook.SheetCounts `json:"sheets"`
	Total         casebook.Counts        `json:"total"`
	Records       map[string]int         `json:"records"`
	Groups        []Group                `json:"groups"`
	Problems      []casebook.Problem     `json:"problems"`
}

// NewReport describes a batch; for a refused file the batch is nil and the
// problems are those of the error.
func NewReport(file string, b *casebook.Batch, problems []casebook.Problem) Report {
	r := Report{SchemaVersion: SchemaVersion, File: casebook.File{Name: file}, Sheets: []casebook.SheetCounts{}, Records: map[string]int{}}
	if b != nil {
		problems = b.Problems
		r.File, r.Usable, r.Invented, r.Sheets, r.Total = b.File, true, b.Invented, b.Sheets, b.Counts()
		r.Records["case"], r.Records["course"] = len(b.Cases), len(b.Courses)
		r.Records["movement"], r.Records["repeat"] = len(b.Movements), len(b.Repeats)
	}
	r.Problems = append([]casebook.Problem{}, problems...)
	r.Groups = append([]Group{}, Groups(problems)...)
	return r
}

// WriteJSON writes the reports of one run as one JSON array.
func WriteJSON(w io.Writer, reports []Report) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(reports)
}
