package layout

import (
	"fmt"
	"strings"
	"unicode"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
)

// fewWords reports a column that says one of two or three words over and over: that
// many cases would have dozens of rows each.
func (p profile) fewWords() bool {
	if len(p.distinct) > 3 || p.n < 8*len(p.distinct) {
		return false
	}
	for text := range p.distinct {
		if len([]rune(text)) < 2 || strings.ContainsFunc(text, unicode.IsDigit) {
			return false
		}
	}
	return true
}

// repeats reports that, were the column the case, most rows of the table would give a
// movement that another row gave already.
func (t *Table) repeats(col int) bool {
	key := []int{col}
	for _, f := range []columns.Field{columns.Tooth, columns.Quadrant, columns.Arch, columns.Side, columns.Axis, columns.Direction, columns.Course} {
		if at := t.Find(f); at > 0 {
			key = append(key, at)
		}
	}
	if !t.Has(columns.Tooth) {
		return false // it is not known what else a row is about
	}
	seen, rows, again := map[string]bool{}, 0, 0
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.At(key[1]).Kind == sheet.Blank && r.At(col).Kind == sheet.Blank {
			continue
		}
		var k strings.Builder
		for _, c := range key {
			fmt.Fprintf(&k, "%s\x00", r.At(c).Text)
		}
		if rows++; seen[k.String()] {
			again++
		}
		if seen[k.String()] = true; rows == evidenceRows {
			break
		}
	}
	return 2*again > rows
}

// codesOf says what codes a column holds without repeating one: how many, of which
// form, in how many rows each.
func (t *Table) codesOf(col int) string {
	times, form := map[string]int{}, ""
	for _, r := range t.Sheet.Rows {
		c := r.At(col)
		if r.Number < t.Body || c.Kind == sheet.Blank {
			continue
		}
		if times[c.Text]++; form == "" {
			form = MaskCode(c.Text)
		}
	}
	if len(times) < 2 || len(form) > 24 {
		return ""
	}
	least, most := len(t.Sheet.Rows), 0
	for _, n := range times { // the least and the most: any order
		least, most = min(least, n), max(most, n)
	}
	each := fmt.Sprintf("%d", most)
	if least < most {
		each = fmt.Sprintf("%d to %d", least, most)
	}
	rows := "rows"
	if most == 1 {
		rows = "row"
	}
	return fmt.Sprintf("%d codes such as %s, in %s %s each", len(times), form, each, rows)
}

// MaskCode hides every letter and digit of a code.
func MaskCode(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsDigit(r):
			return '0'
		case unicode.IsUpper(r):
			return 'A'
		case unicode.IsLetter(r):
			return 'a'
		}
		return r
	}, s)
}
