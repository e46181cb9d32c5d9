package layout_test

import (
	"fmt"
	"iter"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
)

// table is a sheet of few texts in many cells, and its table, whose header is in row 2.
func table(tb testing.TB, rows, cols int, said []any, rnd *rand.Rand) privacy.Sheet {
	path := filepath.Join(tb.TempDir(), "a.xlsx")
	f := excelize.NewFile()
	for row := range rows + 2 {
		values := make([]any, cols)
		for col := range values {
			values[col] = said[rnd.IntN(1+rnd.IntN(len(said)))]
		}
		require.NoError(tb, f.SetSheetRow("Sheet1", fmt.Sprint("A", row+1), &values))
	}
	require.NoError(tb, f.SaveAs(path))
	book, err := sheet.Open(path, sheet.Limits{})
	require.NoError(tb, err)
	t := &layout.Table{Sheet: book.Sheets[0], Kind: casebook.MovementKind, Header: 2, Body: 3, Last: rows + 2}
	of := []columns.Field{columns.Case, columns.Clinician, columns.Axis, columns.Planned, columns.CourseStart}
	for col := range cols {
		c := layout.Column{Col: col + 1, Text: fmt.Sprint("column ", col)}
		if col < len(of) {
			c.Field = of[col]
		}
		t.Columns = append(t.Columns, c)
	}
	return screen.Screen(book.Sheets[0], []*layout.Table{t})
}

// every gives every cell, whatever is known.
func every(s privacy.Sheet) privacy.Sheet {
	cells := s.Cells
	s.Cells = func(wanted []bool, _ *privacy.Clean) iter.Seq[privacy.Cell] { return cells(wanted, nil) }
	return s
}

func screened(s privacy.Sheet) []casebook.Problem {
	return privacy.Screen(privacy.Input{Sheets: []privacy.Sheet{s}})
}

// Cells that are passed over, since their text was clean in their column, hide nothing: the
// same is found where every cell is made.
func TestNothingHidesAmongWhatIsKnown(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	said := []any{1, 12.5, "1", "rotation", "C-0123", "K2", nil, "2025-03", "14.03.1987", "#N/A", 46011, 900123456, "900123456", "Maria Tolbrand", "seen on a Tuesday with her mother and told so"}
	found, passed := 0, 0
	for range 10 {
		s := table(t, 60, 70, said, rnd)
		all := 0
		for range s.Cells(nil, nil) {
			all++
		}
		counted, cells := s, s.Cells
		counted.Cells = func(wanted []bool, known *privacy.Clean) iter.Seq[privacy.Cell] {
			return func(yield func(privacy.Cell) bool) {
				for c := range cells(wanted, known) {
					if all--; !yield(c) {
						return
					}
				}
			}
		}
		want := screened(every(s))
		require.Equal(t, want, screened(s))
		found += len(want)
		counted.Columns = nil // no column is looked at by itself
		screened(counted)
		passed += all
	}
	assert.Positive(t, found)
	assert.Positive(t, passed)
}

// BenchmarkSheet screens 5,000 rows in 27 columns that say three hundred things, with and
// without a look at what is known before a cell is made.
func BenchmarkSheet(b *testing.B) {
	var said []any
	for i := range 300 {
		said = append(said, float64(i)/10)
	}
	s := table(b, 5000, 27, said, rand.New(rand.NewPCG(5, 6)))
	for name, s := range map[string]privacy.Sheet{"known": s, "every": every(s)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				screened(s)
			}
		})
	}
}
