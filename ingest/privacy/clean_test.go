package privacy

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/privacy/seeded"
)

// without takes the numbers of the texts away.
func without(in Input) Input {
	all := slices.Collect(in.Sheets[0].Cells(nil, nil))
	sheet := in.Sheets[0]
	sheet.Cells = sheetOf(all)
	for i := range all {
		all[i].Same = 0
	}
	in.Sheets = []Sheet{sheet}
	return in
}

// TestTextsThatComeAgain: what was clean in one column and kind is looked at again in
// another, and whatever is passed over is found as if every cell had been looked at, everyday in 60 sheets of 300.
func TestTextsThatComeAgain(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	said := []string{"1", "12", "45", "46011", "C-0123", "K2", "rotation", "2025-03", "14.03.1987", "-15.25", "900123456", "Maria Tolbrand", "seen on a Tuesday with her mother and told so"}
	for _, x := range seeded.Invent(20, 3) {
		said = append(said, x.Text)
	}
	found := 0
	n := 60
	if os.Getenv("SHORTFALL_LONG") != "" {
		n = 300
	}
	for range n {
		in := clean()
		all := slices.Collect(in.Sheets[0].Cells(nil, nil))
		for row := 5; row < 60; row++ {
			for col := 1; col <= 12; col++ {
				all = append(all, Cell{Row: row, Col: col, Text: said[rnd.IntN(2+rnd.IntN(len(said)-1))], Kind: Kind(rnd.IntN(2) * rnd.IntN(3))})
			}
		}
		in.Sheets[0].Cells = sheetOf(all)
		in.Sheets[0].Pass = func(c Cell) bool { return c.Row%3 == 0 && c.Text == "rotation" }
		got := Screen(in)
		require.Equal(t, Screen(without(in)), got)
		found += len(got)
	}
	assert.Positive(t, found)
}

// BenchmarkScreen reads 20,000 rows of three hundred texts, with and without the numbers
// of the texts.
func BenchmarkScreen(b *testing.B) {
	for _, known := range []bool{true, false} {
		b.Run(fmt.Sprintf("numbered=%v", known), func(b *testing.B) {
			in := clean()
			base := slices.Collect(in.Sheets[0].Cells(nil, nil))[12:]
			var all []Cell
			for row := range 20000 {
				for _, c := range base[:11] {
					c.Row = row + 3
					if c.Col == 8 || c.Col == 9 {
						c.Text, c.Kind = fmt.Sprintf("%.1f", float64(row*7%300-150)/10), Number
					}
					all = append(all, c)
				}
			}
			if in.Sheets[0].Cells = sheetOf(all); !known {
				in = without(in)
			}
			for b.Loop() {
				Screen(in)
			}
			b.ReportMetric(20000*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}
