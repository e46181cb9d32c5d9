package sheet

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// rowOf has a cell in each of these columns, from the left.
func rowOf(cols ...int) Row {
	var r Row
	for _, c := range cols {
		r.Add(Cell{Col: int32(c), Text: fmt.Sprint(c)})
	}
	return r
}

// Every column of every row is found where it is, and nowhere else.
func TestCellsAreFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	rows := [][]int{nil, {1}, {7}, {16384}, {1, 16384}}
	for range 300 {
		var cols []int
		for c, last := 1, 1+rng.IntN(60); c <= last; c++ {
			if rng.IntN(10) < 1+rng.IntN(9) {
				cols = append(cols, c+rng.IntN(2)*rng.IntN(2000))
			}
		}
		slices.Sort(cols)
		rows = append(rows, slices.Compact(cols))
	}
	for _, cols := range rows {
		r := rowOf(cols...)
		for col := -1; col < 2100; col++ {
			want, is := slices.BinarySearch(cols, col)
			got, ok := r.find(col)
			if is != ok || want != got { // asked of testify one by one it took seconds
				require.Fail(t, "not where it is", "column %d of %v: %t at %d, found %t at %d", col, cols, is, want, ok, got)
			}
		}
	}
}

// BenchmarkFind looks all columns of a wide sheet up in rows with some blank cells.
func BenchmarkFind(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	rows := make([]Row, 1000)
	for i := range rows {
		var cols []int
		for c := 1; c <= 27; c++ {
			if c < 8 || rng.IntN(4) > 0 {
				cols = append(cols, c)
			}
		}
		rows[i] = rowOf(cols...)
	}
	for b.Loop() {
		found := 0
		for _, r := range rows {
			for col := 1; col <= 27; col++ {
				if _, ok := r.find(col); ok {
					found++
				}
			}
		}
		if found == 0 {
			b.Fatal("nothing was found")
		}
	}
}
