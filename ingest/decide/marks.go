package decide

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// dittoMarks stand for the cell above (common practice, no source).
var dittoMarks = []string{`"`, "''", "\u2033", "\u3003", "\u201d", "\u201e", "-\"-", "do.", "ditto", "dito", "idem"}

// IsDitto reports a mark that stands for the cell above.
func IsDitto(text string) bool {
	text = strings.TrimSpace(text)
	return len(text) <= len("ditto") && slices.Contains(dittoMarks, strings.ToLower(text))
}

// repeatDittos puts the cell above in the place of marks that say so.
func (r *File) repeatDittos(out *[]casebook.Problem) {
	for _, t := range r.Tables {
		if !t.Sheet.MaySay(IsDitto) {
			continue
		}
		b := NewBody(t)
		var above []sheet.Cell // by column
		n, first := 0, ""
		for i, row := range t.Sheet.Rows {
			if row.Number < t.Body {
				continue
			}
			if row.Broken || !b.Holds(row) {
				for _, c := range row.All() { // what stands there is no value of a record
					if int(c.Col) < len(above) {
						above[c.Col] = sheet.Cell{}
					}
				}
				continue
			}
			for _, c := range row.All() {
				for len(above) <= int(c.Col) {
					above = append(above, sheet.Cell{})
				}
				if c.Kind == sheet.String && IsDitto(c.Text) {
					over := above[c.Col]
					if over.Kind == sheet.Blank {
						continue
					}
					if n++; n == 1 {
						first = sheet.Ref(row.Number, int(c.Col))
					}
					over.Col = c.Col
					t.Sheet.Rows[i].Put(over)
					c = over
				}
				above[c.Col] = c
			}
		}
		if n > 0 {
			p := inSheet(t, rules.New(rules.LayoutAssumed, "%d ditto marks were read as the cell above", n))
			p.Cell = first
			*out = append(*out, p)
		}
	}
}

// signMarks are what a column of signs holds.
var signMarks = map[string]bool{"+": false, "plus": false, "-": true, "\u2212": true, "\u2013": true, "minus": true}

// takeSigns joins a column that holds nothing but signs with the planned amounts,
// where those have none of their own. Whether it is the sign of the outcome too is
// asked like that of any sheet whose outcomes have none.
func (r *File) takeSigns(out *[]casebook.Problem) {
	for _, t := range r.Tables {
		planned := t.Find(columns.Planned)
		if t.Kind != casebook.MovementKind || planned == 0 {
			continue
		}
		for _, c := range t.Columns {
			if c.Field != columns.NoField && c.Field != columns.Direction || c.Declared || !r.onlySigns(t, c.Col, planned) {
				continue
			}
			for i, row := range t.Sheet.Rows {
				v := row.At(planned)
				if row.Number >= t.Body && v.Kind != sheet.Blank && signMarks[strings.ToLower(strings.TrimSpace(row.At(c.Col).Text))] {
					v.Text = "-" + v.Text
					t.Sheet.Rows[i].Put(v)
				}
			}
			p := inSheet(t, rules.New(rules.LayoutAssumed, "the column of signs was joined with the planned amounts"))
			p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
			*out = append(*out, p)
			t.Forget(c.Col)
			break
		}
	}
}

// onlySigns reports a column of signs, of both kinds, beside amounts without one.
func (r *File) onlySigns(t *layout.Table, col, planned int) bool {
	seen := map[bool]bool{}
	ok := true
	r.eachRow(t, func(row sheet.Row) {
		c, v := row.At(col), row.At(planned)
		if v.Kind == sheet.Blank {
			return
		}
		negative, sign := signMarks[strings.ToLower(strings.TrimSpace(c.Text))]
		seen[negative] = true
		ok = ok && c.Kind == sheet.String && sign && len(v.Text) > 0 && v.Text[0] >= '0' && v.Text[0] <= '9'
	})
	return ok && seen[true] && seen[false]
}

// voidWords begin a remark that takes its row back, in eight languages (common
// practice, no source).
var voidWords = []string{
	"void", "cancelled", "canceled", "annulled", "entered in error", "wrong entry", "ungultig", "storniert", "fehleintrag", "annule", "saisie erronee",
	"anulado", "anulada", "nulo", "annullato", "annullata", "nullo", "vervallen", "ongeldig", "uniewaznion", "niewazn",
}

// Void reports a row that a remark in a column that is not read takes back.
func (b *Body) Void(row sheet.Row) (col int, ok bool) {
	for i := range row.Len() {
		if col := row.Col(i); col < len(b.read) && b.read[col] {
			continue
		}
		if c := row.Cell(i); c.Kind == sheet.String && b.void.Get(b.t.Sheet.Number(row, i), c.Text) {
			return int(c.Col), true
		}
	}
	return 0, false
}

// takesBack reports a text that begins as such a remark does.
func takesBack(text string) bool {
	if len(text) > 80 {
		return false
	}
	text = lexicon.Fold(text)
	return slices.ContainsFunc(voidWords, func(w string) bool { return strings.HasPrefix(text, w) })
}

// keyWords head a key to short words below the records (common practice, no source).
var keyWords = []string{
	"key", "legend", "codes", "schlussel", "legende", "zeichenerklarung", "cle", "clef", "leyenda", "clave", "claves", "legenda", "chiave", "chave", "sleutel", "klucz", "oznaczenia",
}

// keyBelow finds the row at which a key below the records begins, 0 where none
// does: a lone word that heads one, below an empty row, and no amount under it.
func keyBelow(t *layout.Table) int {
	at, last := 0, t.Body-1
	amounts := amountsOf(t)
	for _, row := range t.Sheet.Rows {
		if row.Number < t.Body || row.Len() == 0 {
			continue
		}
		switch {
		case at > 0:
			for _, a := range amounts {
				if row.At(a.planned).Kind != sheet.Blank {
					return 0
				}
			}
		case row.Len() == 1 && row.Number > last+1 && slices.Contains(keyWords, lexicon.Fold(row.Cell(0).Text)):
			at = row.Number
		}
		last = row.Number
	}
	return at
}
