package sheet

import (
	"encoding/xml"
	"fmt"
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

// style looks a style index up once; an index the workbook lacks is damage.
func (in *cellReader) style(i int) (numberStyle, error) {
	if ns, ok := in.styles[i]; ok {
		return ns, nil
	}
	s, err := in.around.GetStyle(i)
	if err != nil {
		return plainStyle, damaged("a cell refers to a style the workbook does not hold")
	}
	ns := plainStyle
	switch {
	case s.CustomNumFmt != nil:
		ns = classify(*s.CustomNumFmt)
	case builtinDate(s.NumFmt):
		ns = dateStyle
	case s.NumFmt == 9 || s.NumFmt == 10:
		ns = percentStyle
	}
	in.styles[i] = ns
	return ns, nil
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

func (s *Sheet) addColumn(e xml.StartElement) error {
	if !isTrue(attr(e, "hidden")) {
		return nil
	}
	first, err1 := strconv.Atoi(attr(e, "min"))
	last, err2 := strconv.Atoi(attr(e, "max"))
	if err1 != nil || err2 != nil || first < 1 || last < first {
		return damaged("a column definition is malformed")
	}
	s.HiddenCols = append(s.HiddenCols, Area{Col1: first, Col2: last})
	return nil
}

const mostMerged = 100_000

func (s *Sheet) addMerged(e xml.StartElement) error {
	from, to, ok := strings.Cut(attr(e, "ref"), ":")
	if !ok {
		return nil
	}
	c1, r1, err1 := excelize.CellNameToCoordinates(from)
	c2, r2, err2 := excelize.CellNameToCoordinates(to)
	if err1 != nil || err2 != nil {
		return damaged("a merged area is malformed")
	}
	if len(s.Merged) >= mostMerged {
		return rules.New(rules.FileTooLarge, "the sheet has more than %d merged areas", mostMerged)
	}
	s.Merged = append(s.Merged, Area{min(r1, r2), min(c1, c2), max(r1, r2), max(c1, c2)})
	return nil
}

// pageText keeps page headers and footers, which can name a person.
func (in *cellReader) pageText(t *tokens, name string) error {
	depth := len(t.open)
	var sb strings.Builder
	for {
		tok, err := t.next()
		if err != nil {
			return err
		}
		switch e := tok.(type) {
		case xml.CharData:
			sb.Write(e)
		case xml.EndElement:
			if len(t.open) < depth {
				if strings.TrimSpace(sb.String()) != "" {
					in.properties = append(in.properties, Property{"page text " + name, sb.String()})
				}
				return nil
			}
		}
	}
}

// noteHidden reports what a person looking at the file does not see.
func (b *Book) noteHidden() {
	for _, s := range b.Sheets {
		if s.Hidden && s.Name != columns.ListsSheet { // the template hides its lists
			b.Problems = append(b.Problems, place(rules.New(rules.SheetHidden, "the sheet is hidden; it was read like the others"), "", s.Name))
		}
		hidden := 0
		for _, r := range s.Rows {
			if r.Hidden && len(r.Cells) > 0 {
				hidden++
			}
		}
		if hidden > 0 {
			b.Problems = append(b.Problems, place(rules.New(rules.RowHidden, "%d hidden rows were read like the others", hidden), "", s.Name))
		}
		last := s.Columns()
		for _, a := range s.HiddenCols {
			if a.Col1 <= last {
				cols := ColumnName(a.Col1)
				if end := min(a.Col2, last); end > a.Col1 {
					cols = fmt.Sprintf("%s to %s", cols, ColumnName(end))
				}
				b.Problems = append(b.Problems, place(rules.New(rules.ColumnHidden, "hidden columns were read like the others: %s", cols), "", s.Name))
			}
		}
	}
}
