// Package grid shows a part of a sheet as a spreadsheet program does, with what is wrong at
// its cells and what each column is read as.
//
// Place in the pipeline: below cmd/page; it reads a look at the sheet and the problems
// found, and knows no requests.
package grid

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"

	"shortfall/audit/results/wording"
	"shortfall/cmd/page/address"
	"shortfall/cmd/page/found"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/look"
	"shortfall/ingest/sheet"
)

// mostCells is about how many cells a page of the grid holds.
const mostCells = 1500

// View is a part of a sheet as a spreadsheet program shows it.
type View struct {
	Sheets      []Tab
	Name        string
	Columns     []look.Column
	Rows        []Row
	First, Last int // numbers of the rows shown
	Count       int // rows that hold anything
	Before      string
	After       string
	Rule        string // only rows with problems of this rule
	All         string // the grid without that
	Masked      bool
	Apart       bool                 // read in parts: no column has one meaning
	Asked       string               // where what a column holds is said
	Said        map[string]string    // by id, what was said of columns
	Groups      []ingest.ColumnGroup // what a column can be said to hold
}

// Tab is a sheet of the file.
type Tab struct {
	Name, Link string
	Here       bool
}

// Row of the part shown.
type Row struct {
	Number int
	Head   bool // of the header
	Mark   string
	Note   string
	Cells  []Cell
}

// Cell as it stands there.
type Cell struct {
	look.Cell
	Mark string // "error" or "warning"
	Note string
}

// spot is what is said about one cell or row.
type spot struct {
	severity casebook.Severity
	note     string
}

// Of is the part of the file that a query asks for, nil where the file has no sheet. path is
// the address of the file's page, said what was said of columns.
func Of(v *look.View, problems []casebook.Problem, said map[string]string, q url.Values, path string) *View {
	only := q.Get("rule")
	sheetName := q.Get("sheet")
	if sheetName == "" {
		sheetName = firstPlace(problems, only)
	}
	at := max(0, slices.IndexFunc(v.Sheets, func(s *look.Sheet) bool { return s.Name == sheetName }))
	if len(v.Sheets) == 0 {
		return nil
	}
	s := v.Sheets[at]
	g := &View{Name: s.Name, Columns: s.Columns, Count: s.Count(), Apart: s.Apart(), Rule: only, Asked: path + "/answers", Said: said, Groups: ingest.ColumnGroups(), All: path + "?" + address.Query("sheet", s.Name) + "#grid"}
	for i, x := range v.Sheets {
		g.Sheets = append(g.Sheets, Tab{Name: x.Name, Link: path + "?" + address.Query("sheet", x.Name) + "#grid", Here: i == at})
	}
	spots := spotsOf(problems, s.Name, only)
	most := max(10, mostCells/max(1, len(s.Columns)))
	from, _ := strconv.Atoi(q.Get("row"))
	rows := s.Rows(max(1, from-3), most)
	if only != "" {
		rows = rowsWith(s, spots, from, most)
	}
	for _, row := range rows {
		g.Rows = append(g.Rows, g.row(s, row, spots))
	}
	g.links(s, path, rows, most)
	return g
}

// links lead to the rows before and after those shown.
func (g *View) links(s *look.Sheet, path string, rows []sheet.Row, most int) {
	if len(rows) == 0 {
		return
	}
	g.First, g.Last = rows[0].Number, rows[len(rows)-1].Number
	if g.Rule != "" {
		if len(rows) == most {
			g.After = path + "?" + address.Query("sheet", s.Name, "rule", g.Rule, "row", strconv.Itoa(g.Last+1)) + "#grid"
		}
		return
	}
	if at := s.Place(g.First); at > 0 {
		before := s.Rows(1, at)
		g.Before = path + "?" + address.Query("sheet", s.Name, "row", strconv.Itoa(before[max(0, at-most)].Number+3)) + "#grid"
	}
	if next := s.Rows(g.Last+1, 1); len(next) > 0 {
		g.After = path + "?" + address.Query("sheet", s.Name, "row", strconv.Itoa(next[0].Number+3)) + "#grid"
	}
}

// rowsWith lists the rows that have something said about them, from a number on.
func rowsWith(s *look.Sheet, spots map[string]spot, from, most int) (out []sheet.Row) {
	var numbers []int
	for ref := range spots {
		row, _ := sheet.Place(ref)
		numbers = append(numbers, row)
	}
	slices.Sort(numbers)
	for _, n := range slices.Compact(numbers) {
		if n >= from && len(out) < most {
			if rows := s.Rows(n, 1); len(rows) == 1 && rows[0].Number == n {
				out = append(out, rows[0])
			}
		}
	}
	return out
}

func (g *View) row(s *look.Sheet, row sheet.Row, spots map[string]spot) Row {
	out := Row{Number: row.Number, Head: s.Header > 0 && row.Number >= s.Header && row.Number < s.Body}
	if x, ok := spots[strconv.Itoa(row.Number)]; ok {
		out.Mark, out.Note = x.severity.String(), x.note
	}
	for _, c := range s.Cells(row) {
		cell := Cell{Cell: c}
		if x, ok := spots[c.Ref]; ok {
			cell.Mark, cell.Note = x.severity.String(), x.note
		}
		g.Masked = g.Masked || c.Masked
		out.Cells = append(out.Cells, cell)
	}
	return out
}

// spotsOf gathers what is said about the cells and rows of a sheet, worst first: by
// the name of the cell, or the number of the row where no cell is named.
func spotsOf(problems []casebook.Problem, name, only string) map[string]spot {
	list := slices.Clone(problems)
	slices.SortStableFunc(list, func(a, b casebook.Problem) int { return cmp.Compare(b.Severity, a.Severity) })
	out := map[string]spot{}
	for _, p := range list {
		key := p.Cell
		if key == "" && p.Row > 0 {
			key = strconv.Itoa(p.Row)
		}
		if key == "" || p.Sheet != name || p.Severity < casebook.Warning || only != "" && p.Rule != only {
			continue
		}
		x, ok := out[key]
		if !ok {
			x.severity = p.Severity
		} else {
			x.note += " "
		}
		x.note += wording.Sentence(p.Message) + " " + wording.Sentence(found.InWindow(p.Remedy))
		out[key] = x
	}
	return out
}

// firstPlace is the sheet on which the first problem of a kind stands.
func firstPlace(problems []casebook.Problem, only string) string {
	for _, p := range problems {
		if only != "" && p.Rule == only && p.Sheet != "" {
			return p.Sheet
		}
	}
	return ""
}
