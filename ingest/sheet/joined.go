package sheet

import "strings"

// Texts are the texts and numbers of a row by column.
func Texts(r Row) map[int]string {
	m := map[int]string{}
	for _, c := range r.All() {
		if c.Kind == String || c.Kind == Number {
			m[int(c.Col)] = Clean(c.Text)
		}
	}
	return m
}

// Clean takes line breaks and a byte order mark out of a header.
func Clean(s string) string {
	return Spaced(strings.TrimPrefix(s, "\ufeff"))
}

// Spaced joins the words of a text by one space each. Most texts are so, and are not copied:
// a small file can say a long one in every cell.
func Spaced(s string) string {
	s = strings.TrimSpace(s)
	for i := range len(s) {
		if c := s[i]; c >= 0x80 || c < ' ' || c == ' ' && s[i+1] == ' ' {
			return strings.Join(strings.Fields(s), " ")
		}
	}
	return s
}

// JoinRows joins two header rows; a text of the upper row holds for its merged
// area, or up to the next text.
func (s *Sheet) JoinRows(top, bottom Row) map[int]string {
	m := map[int]string{}
	upper := Texts(top)
	last := max(LastCol(top), LastCol(bottom))
	group, until := "", 0
	for col := 1; col <= last; col++ {
		own := Clean(bottom.At(col).Text)
		if text, ok := upper[col]; ok {
			group, until = text, s.mergedTo(top.Number, col, last)
		} else if col > until {
			group = ""
		}
		switch {
		case own == "" && upper[col] != "":
			m[col] = upper[col]
		case own != "":
			m[col] = strings.TrimSpace(group + " " + own)
		}
	}
	return m
}

// LastCol is the column of the last cell of a row.
func LastCol(r Row) int {
	if r.Len() == 0 {
		return 0
	}
	return int(r.Cell(r.Len() - 1).Col)
}

// mergedTo is the last column a text of the upper header row stands over.
func (s *Sheet) mergedTo(row, col, last int) int {
	merged := false
	for _, a := range s.Merged {
		if a.Row1 <= row && row <= a.Row2 {
			merged = true
			if a.Col1 == col {
				return a.Col2
			}
		}
	}
	if merged {
		return col // others of the row are merged, this one is not
	}
	return last
}

// ValueOf finds the value of a label in its row: the cell beside it, or the next one
// behind blank cells where a colon or the value itself shows that it is one. named reports
// a text that is a label itself.
func ValueOf(r Row, i int, named func(text string) bool) (Cell, bool) {
	if i+1 >= r.Len() {
		return Cell{}, false
	}
	label, next := r.Cell(i), r.Cell(i+1)
	if next.Col == label.Col+1 {
		return next, true
	}
	colon := strings.HasSuffix(strings.TrimSpace(label.Text), ":")
	if next.Kind == String {
		text := Clean(next.Text)
		return next, colon && !strings.Contains(text, ":") && !named(text)
	}
	return next, colon || next.Kind == Date
}
