package mapping

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"shortfall/ingest/columns"
)

// Proposal is a mapping worked out from a file, with what a person needs to
// judge it.
type Proposal struct {
	FileName string
	Notation string // decided by evidence, "" where it cannot be
	Decimal  string // "." or ",", "" where nothing decides
	Sheets   []SheetProposal
	Words    []WordProposal
}

// WordProposal is one word that the file writes in a field of words.
type WordProposal struct {
	Field, Text string
	Means       string // the program's word, "" where it is not known
	Near        string // the nearest of the program's words, where it is not known
	Count       int
}

// SheetProposal is the proposal for one sheet.
type SheetProposal struct {
	Name       string
	Skip       bool
	Kind       string
	Header     int
	HeaderRows int
	Case       string
	Columns    []ColumnProposal
	Movements  []Pair
	Missing    []string // headers of required columns that were not found
}

// ColumnProposal is one column: the proposed field, or ignore with a hint.
type ColumnProposal struct {
	Header, Letter, Field string
	Hint                  string
}

// Text writes the proposal as a mapping file with comments.
func (p Proposal) Text() []byte {
	var b bytes.Buffer
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# How the spreadsheet %s is to be read. Lines that start with # are comments.", quote(p.FileName))
	line("# Check each line, correct it, then read the file with this mapping.")
	line("version = %d", Version)
	line("")
	line("[file]")
	option(line, "notation", p.Notation, "fdi", "fdi, universal or palmer: one notation for the whole file")
	option(line, "decimal", p.Decimal, ".", "the decimal sign of numbers kept as text")
	option(line, "dates", "", "day first", "day first or month first, for dates such as 03/04/2025 kept as text")
	option(line, "amounts", "", "signed", "signed, or sizes where directions are in words")
	option(line, "achieved", "", "movement", "movement, residual (planned minus achieved) or end position")
	line("")
	line("[missing]")
	line("codes = []  # texts or numbers that mean \"not measured\", such as \"999\"")
	line("")
	line("# [positive]  # where the file writes a direction with the opposite sign")
	line("# vertical = \"intrusion\"  # or \"up\" or \"down\", the same way in both jaws")
	line("#")
	p.writeWords(line)
	line("# [[waiver]]  # accepts a finding, with a reason")
	line("# rule = \"amount-unlikely\"")
	line("# sheet = \"Sheet1\"")
	line("# cell = \"F12\"")
	line("# reason = \"checked against the plan\"")
	for _, s := range p.Sheets {
		s.write(line)
	}
	return b.Bytes()
}

// writeWords lists the words of the file as comments, so that a wrong reading is
// mended by taking a # away and changing a word.
func (p Proposal) writeWords(line func(string, ...any)) {
	line("# Words of the file and how they are read. To change one, take the # from its")
	line("# line and from the heading above it, and write another word of the program.")
	field := ""
	for _, w := range p.Words {
		if w.Field != field {
			field = w.Field
			line("# [words.%q]", field)
		}
		means, note := w.Means, fmt.Sprintf("%d times", w.Count)
		if means == "" {
			means, note = w.Near, note+"; not known"
		}
		line("# %s = %s  # %s", quote(w.Text), quote(means), note)
	}
	if len(p.Words) == 0 {
		line("# [words.style]")
		line("# \"my word\" = \"clinician-designed\"")
	}
	line("#")
}

func option(line func(string, ...any), key, value, example, about string) {
	if value == "" {
		line("# %s = %s  # %s", key, quote(example), about)
		return
	}
	line("%s = %s  # %s", key, quote(value), about)
}

func (s SheetProposal) write(line func(string, ...any)) {
	line("")
	line("[[sheet]]")
	line("name = %s", quote(s.Name))
	if s.Skip {
		s.writeSkipped(line)
		return
	}
	line("kind = %s", quote(s.Kind))
	line("header = %d", s.Header)
	if s.HeaderRows == 2 {
		line("header_rows = 2")
	}
	if s.Case != "" {
		line("case = %s  # each sheet is a case", quote(s.Case))
	}
	for _, m := range s.Missing {
		line("# A column for %s is required and was not found.", quote(m))
	}
	if len(s.Columns) > 0 {
		line("[sheet.columns]  # header -> field, or \"ignore\"")
	}
	for _, c := range s.Columns {
		hint := "column " + c.Letter
		if c.Hint != "" {
			hint += ": " + c.Hint
		}
		line("%s = %s  # %s", quote(c.Header), quote(c.Field), oneLine(hint))
	}
	for _, m := range s.Movements {
		line("[[sheet.movement]]")
		for _, kv := range [][2]string{
			{"tooth", m.Tooth},
			{"axis", m.Axis},
			{"course", m.Course},
			{"planned", m.Planned},
			{"achieved", m.Achieved},
			{"percent", m.Percent},
			{"style", m.Style},
		} {
			if kv[1] != "" {
				line("%s = %s", kv[0], quote(kv[1]))
			}
		}
	}
}

// writeSkipped writes a sheet that is not read, with its columns as comments:
// enough to declare them without typing.
func (s SheetProposal) writeSkipped(line func(string, ...any)) {
	line("skip = true  # no table of records was recognised")
	if len(s.Columns) == 0 {
		return
	}
	line("# To read the sheet, delete the line above, take the # from those below and")
	line("# write for each column the field that it holds. The fields are:")
	for _, names := range inLines(columns.Fields(), 72) {
		line("#   %s", names)
	}
	line("# kind = %s  # case, course, movement or repeat", quote(s.Kind))
	line("# header = %d", s.Header)
	line("# [sheet.columns]")
	for _, c := range s.Columns {
		hint := "column " + c.Letter
		if c.Hint != "" {
			hint += ": " + c.Hint
		}
		line("# %s = %s  # %s", quote(c.Header), quote(c.Field), oneLine(hint))
	}
}

// inLines lists fields in lines of at most so many characters.
func inLines(fields []columns.Field, width int) []string {
	var out []string
	at := ""
	for i, f := range fields {
		word := f.String()
		if i+1 < len(fields) {
			word += ","
		}
		if at != "" && len(at)+1+len(word) > width {
			out, at = append(out, at), ""
		}
		at = strings.TrimSpace(at + " " + word)
	}
	return append(out, at)
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// quote writes a basic TOML string, whose escapes are those of JSON.
func quote(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if e.Encode(strings.ToValidUTF8(s, "\ufffd")) != nil {
		return `""`
	}
	return strings.ReplaceAll(strings.TrimSpace(b.String()), "\x7f", `\u007F`)
}
