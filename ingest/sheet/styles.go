package sheet

import (
	"encoding/xml"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
)

// numberStyle is what a cell's number format says about its number.
type numberStyle uint8

const (
	plainStyle numberStyle = iota
	dateStyle
	percentStyle
)

// style looks a style index up; an index the workbook lacks is damage. A
// workbook without formats has the plain one.
func (in *cellReader) style(i int) (numberStyle, error) {
	if i >= 0 && i < len(in.styles) {
		return in.styles[i], nil
	}
	if i == 0 {
		return plainStyle, nil
	}
	return plainStyle, damaged("a cell refers to a style the workbook does not hold")
}

// builtinDate lists the built-in date and time formats (ECMA-376 part 1,
// 18.8.30, with the East Asian ones).
func builtinDate(n int) bool {
	return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58
}

// classify reads a format code: quoted and escaped characters and bracketed
// sections say nothing; then y, d, or m and h without a digit placeholder make
// a date.
func classify(code string) numberStyle {
	var sb strings.Builder
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '\\', '_', '*':
			i++
		case '"':
			end := strings.IndexByte(code[i+1:], '"')
			if end < 0 {
				return plainStyle
			}
			i += end + 1
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return plainStyle
			}
			i += end
		default:
			sb.WriteByte(c)
		}
	}
	bare := strings.ToLower(sb.String())
	switch {
	case strings.Contains(bare, "general"), bare == "@":
		return plainStyle
	case strings.ContainsAny(bare, "yd"), strings.ContainsAny(bare, "mh") && !strings.ContainsAny(bare, "0#?"):
		return dateStyle
	case strings.Contains(bare, "%"):
		return percentStyle
	}
	return plainStyle
}

// lastColumn of a workbook (ECMA-376 part 1, 18.3.1.13).
const lastColumn = 16384

func (s *Sheet) addColumn(e xml.StartElement) error {
	if !isTrue(attr(e, "hidden")) {
		return nil
	}
	first, err1 := strconv.Atoi(attr(e, "min"))
	last, err2 := strconv.Atoi(attr(e, "max"))
	switch {
	case err1 != nil || err2 != nil || first < 1 || last < first:
		return damaged("a column definition is malformed")
	case len(s.HiddenCols) >= lastColumn:
		return rules.New(rules.FileTooLarge, "the sheet has more than %d column definitions", lastColumn)
	}
	s.HiddenCols = append(s.HiddenCols, Area{Col1: first, Col2: last})
	return nil
}

func (s *Sheet) addMerged(e xml.StartElement, l Limits) error {
	from, to, ok := strings.Cut(attr(e, "ref"), ":")
	if !ok {
		return nil
	}
	c1, r1, err1 := excelize.CellNameToCoordinates(from)
	c2, r2, err2 := excelize.CellNameToCoordinates(to)
	if err1 != nil || err2 != nil {
		return damaged("a merged area is malformed")
	}
	if len(s.Merged) >= l.Merged {
		return rules.New(rules.FileTooLarge, "the sheet has more than %d merged areas", l.Merged)
	}
	s.Merged = append(s.Merged, Area{min(r1, r2), min(c1, c2), max(r1, r2), max(c1, c2)})
	return nil
}

// pageCode is a formatting code of a page header (ECMA-376 part 1, 18.3.1.46):
// font and style in quotation marks, a size, a colour, or one letter.
var pageCode = regexp.MustCompile(`&(?:"[^"]*"|\d{1,3}|K[0-9A-Fa-f]{6}|K\d\d[+-]\d{3}|[A-Za-z])`)

// pageText notes page headers and footers, which can name a person: as they are
// printed, since a code can stand inside a name.
func (in *cellReader) pageText(t *tokens, name string) error {
	s, err := t.content(in.limits.TextBytes)
	if err != nil {
		return err
	}
	for piece := range strings.FieldsFuncSeq(pageSection.ReplaceAllString(s, "\n"), func(r rune) bool { return r == '\n' }) {
		if err := in.frame.text("page text "+name, strings.ReplaceAll(pageCode.ReplaceAllString(piece, ""), "&&", "&")); err != nil {
			return err
		}
	}
	return nil
}

// pageSection begins the left, the centre or the right of a header.
var pageSection = regexp.MustCompile(`&[LCR]`)

// clipMerged cuts merged areas to what the sheet uses, and bounds their cells.
func (s *Sheet) clipMerged(l Limits) error {
	last, columns := 0, s.Columns()
	if n := len(s.Rows); n > 0 {
		last = s.Rows[n-1].Number
	}
	cells := 0
	out := s.Merged[:0]
	for _, a := range s.Merged {
		a.Row2, a.Col2 = min(a.Row2, last), min(a.Col2, columns)
		if a.Row1 > a.Row2 || a.Col1 > a.Col2 {
			continue // beside everything that holds something
		}
		if cells += (a.Row2 - a.Row1 + 1) * (a.Col2 - a.Col1 + 1); cells > l.MergedCells {
			return rules.New(rules.FileTooLarge, "the merged areas of the sheet cover more than %d cells", l.MergedCells)
		}
		out = append(out, a)
	}
	s.Merged = out
	return nil
}

// noteHidden reports what a person looking at the file does not see.
func (b *Book) noteHidden() {
	for _, s := range b.Sheets {
		if s.Hidden && s.Name != columns.ListsSheet { // the template hides its lists
			b.Problems = append(b.Problems, place(rules.New(rules.SheetHidden, "the sheet is hidden; it was read like the others"), "", s.Name))
		}
		hidden := 0
		for _, r := range s.Rows {
			if r.Hidden && r.Len() > 0 {
				hidden++
			}
		}
		if hidden > 0 {
			b.Problems = append(b.Problems, place(rules.New(rules.RowHidden, "%d hidden rows were read like the others", hidden), "", s.Name))
		}
		if cols := hiddenColumns(s); cols != "" {
			b.Problems = append(b.Problems, place(rules.New(rules.ColumnHidden, "hidden columns were read like the others: %s", cols), "", s.Name))
		}
	}
}

// areasNamed is how many areas of hidden columns are named.
const areasNamed = 20

// hiddenColumns names the hidden columns that a sheet uses.
func hiddenColumns(s *Sheet) string {
	var out []string
	last := s.Columns()
	for _, a := range s.HiddenCols {
		if a.Col1 > last {
			continue
		}
		if len(out) == areasNamed {
			return strings.Join(out, ", ") + " and more"
		}
		cols := ColumnName(a.Col1)
		if end := min(a.Col2, last); end > a.Col1 {
			cols = fmt.Sprintf("%s to %s", cols, ColumnName(end))
		}
		out = append(out, cols)
	}
	return strings.Join(out, ", ")
}
