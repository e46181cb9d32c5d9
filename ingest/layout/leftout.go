package layout

import (
	"fmt"
	"hash/fnv"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// fewestRows of teeth beside amounts are records whose headers were not understood, and no
// key and no summary.
const fewestRows = 10

// askLeftOut asks whether a sheet whose headers are not understood is to be left out, where
// its rows look like records; it reports whether that is open. A whole year is else waved
// through as a note.
func (f *Found) askLeftOut(s *sheet.Sheet, body int) bool {
	rows := recordRows(s, body)
	if rows < fewestRows {
		return false
	}
	q := question.Question{
		ID: fmt.Sprintf("sheet %d", f.numbers[s]), Kept: sheetKept(s, s.Rows[0]), Rule: string(rules.LayoutUnknown), Sheet: s.Name, Row: s.Rows[0].Number,
		Text: fmt.Sprintf("the sheet has teeth beside amounts in %d rows, and its headers are not understood: is it to be left out? If not, say what its columns hold", rows),
		Choices: []question.Choice{
			{Word: "leave out", Text: "nothing of the sheet is read", Count: rows},
		},
	}
	return f.asker.Ask(q) == ""
}

// askSummaries asks whether tables without a column of cases or teeth, beside one that has
// both, are to be left out: averages by quarter look like a list of cases. One that is
// asked about or left out is read no further.
func (f *Found) askSummaries() {
	if !slices.ContainsFunc(f.Tables, func(t *Table) bool { return t.Has(columns.Case) && t.Has(columns.Tooth) }) {
		return
	}
	f.Tables = slices.DeleteFunc(f.Tables, func(t *Table) bool {
		named := t.Has(columns.Case) || t.Has(columns.Tooth) || t.Constants[columns.Case] != "" ||
			slices.ContainsFunc(t.Pairs, func(p Pair) bool { return p.Tooth != "" })
		summary := f.lacksOfRecords(t)
		if t.declared || named && !t.saysNothingOfCases() && summary == "" || t.Kind == casebook.RepeatKind {
			return false
		}
		q := question.Question{
			ID: fmt.Sprintf("sheet %d", f.numbers[t.Sheet]), Kept: sheetKept(t.Sheet, t.headerRow()), Rule: string(rules.LayoutUnknown), Sheet: t.Sheet.Name, Row: t.Header,
			Text: "the sheet names no teeth, and of cases neither a code nor when they began or how they stand, which others of the file do: is it a summary, to be left out?",
			Choices: []question.Choice{
				{Word: "leave out", Text: "nothing of the sheet is read"},
				{Word: "records", Text: "no, it holds records; say what its columns hold"},
			},
			Proposed: "leave out",
		}
		if named && !t.saysNothingOfCases() {
			q.Text = fmt.Sprintf("the sheet has no column of the %s, as another sheet of the file has with cases, teeth and amounts: is it a summary, to be left out?", summary)
		}
		word := f.asker.Ask(q)
		if word == "records" {
			return false
		}
		f.Skipped = append(f.Skipped, t.Sheet.Name)
		f.Problems = slices.DeleteFunc(f.Problems, func(p casebook.Problem) bool { return p.Sheet == t.Sheet.Name })
		if word != "" {
			f.add(rules.SheetSkipped, t.Sheet, "the sheet is left out, as answered")
		}
		return true
	})
}

// sheetKept is under what an answer about a whole sheet is remembered: its name and its header. One
// that was left out is left out again in the next file, and no other: neither the one in its
// place, nor one of the same headers under another name, which may hold records.
func sheetKept(s *sheet.Sheet, header sheet.Row) string {
	h := fnv.New32a()
	for _, c := range header.All() {
		fmt.Fprintf(h, "%s\x00", values.Key(c.Text))
	}
	fmt.Fprint(h, values.Key(s.Name))
	return fmt.Sprintf("sheet like %08x", h.Sum32())
}

// headerRow is the first row of the header of a table.
func (t *Table) headerRow() sheet.Row {
	i, ok := slices.BinarySearchFunc(t.Sheet.Rows, t.Header, func(r sheet.Row, n int) int { return r.Number - n })
	if !ok {
		return sheet.Row{}
	}
	return t.Sheet.Rows[i]
}

// lacksOfRecords names what a short table of amounts lacks of every record, without a column
// that could be it, where a longer table of the file has it all: "" elsewhere.
func (f *Found) lacksOfRecords(t *Table) string {
	longer := slices.ContainsFunc(f.Tables, func(o *Table) bool {
		return o.Kind == casebook.MovementKind && o.Has(columns.Case) && o.wholeness() == 4 && 2*len(t.Sheet.Rows) <= len(o.Sheet.Rows)
	})
	if t.Kind != casebook.MovementKind || len(t.Pairs) > 0 || !longer {
		return ""
	}
	if !t.Has(columns.Tooth) && len(t.candidatesFor(columns.Tooth)) == 0 {
		return "teeth"
	}
	if !t.Has(columns.Axis) && !t.Has(columns.Direction) && len(t.candidatesFor(columns.Axis)) == 0 {
		return "movements"
	}
	return ""
}

// saysNothingOfCases reports a list of cases without a month, a status or a clinician: "Pts
// scanned" is a number of them and no code.
func (t *Table) saysNothingOfCases() bool {
	return t.Kind == casebook.CaseKind && !slices.ContainsFunc([]columns.Field{
		columns.Status, columns.StartMonth, columns.EndMonth, columns.Clinician, columns.Refinements, columns.Age, columns.AgeBand,
	}, t.Has)
}

// repeatsItsKeys reports a list of cases or courses whose cases stand in several rows each:
// it is a list of something else.
func (t *Table) repeatsItsKeys() bool {
	seen := map[string]bool{}
	rows := 0
	for _, r := range t.Sheet.Rows {
		if r.Number >= t.Body && r.Len() > 0 {
			rows++
			seen[r.At(t.Find(columns.Case)).Text+" "+r.At(t.Find(columns.Course)).Text] = true
		}
	}
	return 2*len(seen) <= rows
}

// recordRows counts the rows of a sheet that have a tooth beside an amount, by what stands
// in its columns alone: 0 where no column can be that of the teeth.
func recordRows(s *sheet.Sheet, body int) int {
	t := &Table{Sheet: s, Body: body}
	width := 0
	for _, r := range s.Rows {
		width = max(width, sheet.LastCol(r))
	}
	tooth := 0
	var amounts []int
	for col := 1; col <= min(width, 60); col++ {
		p := t.profile(col)
		switch {
		case p.n >= fewestRows && 10*p.teeth >= 8*p.n && !p.some(p.octant) && len(p.distinct) < p.n && p.decimals+p.negative+p.dates == 0 && tooth == 0:
			tooth = col
		case p.n >= 3 && 10*p.amounts >= 7*p.n && p.decimals+p.negative > 0 && !p.some(p.dates-p.decimals):
			amounts = append(amounts, col)
		}
	}
	if tooth == 0 || len(amounts) < 2 {
		return 0
	}
	n := 0
	for _, r := range s.Rows {
		if r.Number < body || r.At(tooth).Kind == sheet.Blank {
			continue
		}
		for _, col := range amounts {
			if r.At(col).Kind != sheet.Blank {
				n++
				break
			}
		}
	}
	return n
}
