package feedback

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/template"
)

// mostComments is how many cells carry a comment; every problem is on the list
// of problems whatever their number.
const mostComments = 2000

// Sheets that Annotate adds.
const (
	problemSheet  = columns.ProblemSheet
	acceptedSheet = columns.AcceptedSheet
	rejectedSheet = columns.RejectedSheet
)

// Annotate writes a fresh workbook from what was read: each sheet again with
// coloured cells and comments, a list of problems linked to the cells, and the
// accepted and the rejected rows on sheets of their own. Every text is written
// as text, so nothing in it can act as a formula.
func Annotate(w io.Writer, b *casebook.Batch) error {
	f := excelize.NewFile()
	defer f.Close()
	template.FixOrder(f)
	a := &annotator{f: f, batch: b, names: map[string]string{}, taken: map[string]bool{}}
	if err := a.styles(); err != nil {
		return err
	}
	if err := f.SetSheetName("Sheet1", problemSheet); err != nil {
		return err
	}
	a.taken[problemSheet], a.taken[acceptedSheet], a.taken[rejectedSheet] = true, true, true
	lines := collect(b)
	marks := a.marks()
	for _, s := range b.Sheets {
		if err := a.sheet(s.Sheet, lines, marks); err != nil {
			return err
		}
	}
	if err := a.rows(acceptedSheet, lines, false); err != nil {
		return err
	}
	if err := a.rows(rejectedSheet, lines, true); err != nil {
		return err
	}
	if err := a.problems(); err != nil {
		return err
	}
	if b.Invented { // as the file that it copies says
		if err := f.SetDocProps(&excelize.DocProperties{Category: columns.InventedMark}); err != nil {
			return err
		}
	}
	return f.Write(w)
}

type annotator struct {
	f                          *excelize.File
	batch                      *casebook.Batch
	names                      map[string]string // sheet of the input -> sheet written
	taken                      map[string]bool
	head, bad, doubtful, plain int
	link, long                 int
}

// font of every cell, so that marked and unmarked ones look alike.
const font = "Calibri"

func (a *annotator) styles() (err error) {
	style := func(colour string, bold bool) int {
		s := &excelize.Style{Font: &excelize.Font{Bold: bold, Family: font, Size: 11}}
		if colour != "" {
			s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
		}
		id, e := a.f.NewStyle(s)
		if e != nil {
			err = e
		}
		return id
	}
	a.head, a.bad, a.doubtful, a.plain = style("DDDDDD", true), style("F4B6A6", false), style("FFE9A8", false), style("", false)
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	a.long, _ = a.f.NewStyle(&excelize.Style{Font: &excelize.Font{Family: font, Size: 11}, Alignment: top})
	a.link, _ = a.f.NewStyle(&excelize.Style{Font: &excelize.Font{Family: font, Size: 11, Color: "1F4E99", Underline: "single"}, Alignment: top})
	return err
}

// sheet writes one sheet of the input again, each cell in its old place.
func (a *annotator) sheet(name string, lines []line, marks map[string]*mark) error {
	out := a.name(name)
	if _, err := a.f.NewSheet(out); err != nil {
		return err
	}
	w, err := a.f.NewStreamWriter(out)
	if err != nil {
		return err
	}
	if err := a.widths(w, name, lines); err != nil {
		return err
	}
	headed := false
	for _, l := range lines {
		if l.source.Sheet != name {
			continue
		}
		if !headed && l.source.Row > 1 {
			headed = true
			if err := w.SetRow("A"+strconv.Itoa(l.source.Row-1), a.header(name, lines)); err != nil {
				return err
			}
		}
		if err := w.SetRow("A"+strconv.Itoa(l.source.Row), a.row(l, marks)); err != nil {
			return err
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return a.comment(name, out, marks)
}

// narrowest and widest column of a copied sheet, in characters.
const narrowest, widest = 9, 40

// widths makes each column as wide as its longest text, and freezes the header.
func (a *annotator) widths(w *excelize.StreamWriter, name string, lines []line) error {
	chars := map[int]int{}
	first := 0
	for _, l := range lines {
		if l.source.Sheet != name {
			continue
		}
		if first == 0 {
			first = l.source.Row
		}
		for _, c := range l.cells {
			if col, _, err := excelize.CellNameToCoordinates(c.Ref); err == nil {
				chars[col] = max(chars[col], utf8.RuneCountInString(c.Text), utf8.RuneCountInString(c.Header)+1)
			}
		}
	}
	for _, col := range slices.Sorted(maps.Keys(chars)) {
		if err := w.SetColWidth(col, col, float64(min(max(chars[col]+1, narrowest), widest))); err != nil {
			return err
		}
	}
	if first < 2 {
		return nil
	}
	at := "A" + strconv.Itoa(first)
	return w.SetPanes(&excelize.Panes{Freeze: true, YSplit: first - 1, TopLeftCell: at, ActivePane: "bottomLeft"})
}

// header gathers the headers of a sheet from the cells of its rows.
func (a *annotator) header(name string, lines []line) []any {
	var out []any
	for _, l := range lines {
		if l.source.Sheet != name {
			continue
		}
		for _, c := range l.cells {
			if col, _, err := excelize.CellNameToCoordinates(c.Ref); err == nil {
				out = widen(out, col)
				out[col-1] = excelize.Cell{StyleID: a.head, Value: c.Header}
			}
		}
	}
	return out
}

func widen(row []any, n int) []any {
	for len(row) < n {
		row = append(row, nil)
	}
	return row
}

func (a *annotator) row(l line, marks map[string]*mark) []any {
	var out []any
	for _, c := range l.cells {
		if col, _, err := excelize.CellNameToCoordinates(c.Ref); err == nil {
			out = widen(out, col)
			out[col-1] = excelize.Cell{StyleID: a.plain, Value: value(c.Text)}
		}
	}
	// any order: each mark has a cell of its own
	for ref, m := range marksOf(l, marks) {
		col, _, err := excelize.CellNameToCoordinates(ref)
		if err != nil || m.severity < casebook.Warning {
			continue
		}
		out = widen(out, col)
		cell, _ := out[col-1].(excelize.Cell)
		if cell.StyleID = a.doubtful; m.severity == casebook.Error {
			cell.StyleID = a.bad
		}
		out[col-1] = cell
	}
	return out
}

// value writes a number as a number where that changes no digit, else as text.
func value(s string) any {
	if v, err := strconv.ParseFloat(s, 64); err == nil && strconv.FormatFloat(v, 'f', -1, 64) == s {
		return v
	}
	return s
}

func (a *annotator) comment(name, out string, marks map[string]*mark) error {
	var refs []string
	for k, m := range marks {
		if ref, ok := strings.CutPrefix(k, name+"!"); ok && m.severity > casebook.Info {
			refs = append(refs, ref)
		}
	}
	slices.Sort(refs)
	for _, ref := range refs[:min(len(refs), mostComments)] {
		text := strings.Join(marks[name+"!"+ref].texts, "\n")
		if err := a.f.AddComment(out, excelize.Comment{Cell: ref, Author: "shortfall", Text: rules.Seal(text), Width: 320, Height: 120}); err != nil {
			return err
		}
	}
	return nil
}

// name makes a sheet name that is valid and not taken.
func (a *annotator) name(s string) string {
	if n, ok := a.names[s]; ok {
		return n
	}
	clean := strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`:\/?*[]`, r) {
			return '_'
		}
		return r
	}, s), "' ")
	r := []rune(clean)
	clean = string(r[:min(len(r), 26)])
	if clean == "" {
		clean = "sheet"
	}
	n := clean
	for i := 2; a.taken[strings.ToLower(n)]; i++ {
		n = fmt.Sprint(clean, " ", i)
	}
	a.taken[strings.ToLower(n)] = true
	a.names[s] = n
	return n
}
