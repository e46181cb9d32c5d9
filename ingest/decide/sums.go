package decide

import (
	"math"
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// sumRows lists the rows of a table that begin with a word for a total and go on ("Summa K1"),
// and of which every number is the sum or the mean of the numbers above it, of the whole
// column or since the last such row, within rounding. Any other row with such a code is a case.
func sumRows(t *layout.Table, caseCol int) map[int]bool {
	var out map[int]bool
	if caseCol == 0 || !slices.ContainsFunc(t.Sheet.Rows, func(r sheet.Row) bool { return r.Number >= t.Body && values.IsTotalOf(r.At(caseCol).Text) }) {
		return nil
	}
	all, block, ended := map[int]above{}, map[int]above{}, false
	for _, r := range t.Sheet.Rows {
		id := r.At(caseCol).Text
		switch {
		case r.Number < t.Body:
			continue
		case values.IsTotal(id):
			ended = true
			continue
		case values.IsTotalOf(id) && r.At(t.Find(columns.Tooth)).Kind == sheet.Blank && sumsUp(r, caseCol, all, block):
			if out == nil {
				out = map[int]bool{}
			}
			out[r.Number], ended = true, true
			continue
		case ended:
			block, ended = map[int]above{}, false
		}
		for _, c := range r.All() {
			if v, _, ok := numberIn(c); ok {
				all[int(c.Col)], block[int(c.Col)] = all[int(c.Col)].and(v), block[int(c.Col)].and(v)
			}
		}
	}
	return out
}

// above are the numbers of a column so far.
type above struct {
	n   int
	sum float64
}

func (a above) and(v float64) above { return above{a.n + 1, a.sum + v} }

// sumsUp reports a row of numbers alone, beside its code, that sum up those above them.
func sumsUp(r sheet.Row, caseCol int, all, block map[int]above) bool {
	numbers := 0
	for _, c := range r.All() {
		if int(c.Col) == caseCol {
			continue
		}
		v, places, ok := numberIn(c)
		if !ok || !all[int(c.Col)].gives(v, places) && !block[int(c.Col)].gives(v, places) {
			return false
		}
		numbers++
	}
	return numbers > 0
}

// gives reports the sum, the mean or the count of the numbers, rounded to so many places.
func (a above) gives(v float64, places int) bool {
	near := 0.5*math.Pow10(-places) + 1e-9
	return a.n > 0 && (math.Abs(v-a.sum) <= near || math.Abs(v-a.sum/float64(a.n)) <= near || v == float64(a.n))
}

// numberIn is the number of a cell with its decimal places; a text may have a comma.
func numberIn(c sheet.Cell) (v float64, places int, ok bool) {
	text := strings.TrimSpace(c.Text)
	if c.Kind == sheet.String {
		text = strings.Replace(text, ",", ".", 1)
	} else if c.Kind != sheet.Number {
		return 0, 0, false
	}
	a, err := values.ParseAmount(text, '.')
	if err != nil || a.Word != "" {
		return 0, 0, false
	}
	_, decimals, _ := strings.Cut(a.Digits, ".")
	return a.Value, len(decimals), true
}
