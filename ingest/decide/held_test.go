package decide

import (
	"fmt"
	"iter"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// teethBesideAmounts is a table of so many rows; every tenth is blank but for a remark, and
// every hundredth is broken.
func teethBesideAmounts(rows int) *layout.Table {
	s := &sheet.Sheet{}
	for n := 1; n <= rows; n++ {
		row := s.NewRow(n)
		row.Broken = n%100 == 0
		row.Add(sheet.Cell{Col: 1, Kind: sheet.String, Text: fmt.Sprint("remark ", n%7)})
		if n%10 > 0 {
			row.Add(sheet.Cell{Col: 2, Kind: sheet.Number, Text: fmt.Sprint(n % 31)})
			row.Add(sheet.Cell{Col: 3, Kind: sheet.Number, Text: fmt.Sprint(n % 48)})
			row.Add(sheet.Cell{Col: 4, Kind: sheet.String, Text: "rotation"})
		}
		s.Rows = append(s.Rows, row)
	}
	return &layout.Table{Sheet: s, Kind: casebook.MovementKind, Body: 3}
}

func numbers(rows iter.Seq[sheet.Row]) (out []int) {
	for row := range rows {
		out = append(out, row.Number)
	}
	return out
}

// Which rows hold a record is found anew as long as cells may change, and once after that;
// both give the rows that a look at each gives.
func TestHeldAreTheRowsOfRecords(t *testing.T) {
	table := teethBesideAmounts(400)
	body, want := NewBody(table), []int{}
	for _, row := range table.Sheet.Rows {
		if row.Number >= table.Body && !row.Broken && body.Holds(row) {
			want = append(want, row.Number)
		}
	}
	assert.NotEmpty(t, want)
	assert.Less(t, len(want), 397)
	f := New(&sheet.Book{}, []*layout.Table{table}, nil, casebook.NoNotation, nil)
	assert.Equal(t, want, numbers(f.records(table)))
	last := &table.Sheet.Rows[len(table.Sheet.Rows)-2]
	last.Clear()
	want = want[:len(want)-1]
	assert.Equal(t, want, numbers(f.records(table)), "cells changed")
	f.settleCells()
	for range 2 {
		assert.Equal(t, want, numbers(f.records(table)))
	}
}

// BenchmarkHeld gives what going over the records of a table costs where they are known, as
// a share of what it costs to look at every row.
func BenchmarkHeld(b *testing.B) {
	table := teethBesideAmounts(50_000)
	var known, looked time.Duration
	for b.Loop() {
		for _, steady := range []bool{true, false} {
			f := New(&sheet.Book{}, []*layout.Table{table}, nil, casebook.NoNotation, nil)
			if steady {
				f.settleCells()
			}
			start, n := time.Now(), 0
			for range 10 { // fewer than the decisions that go over the records of a file
				f.eachRow(table, func(sheet.Row) { n++ })
			}
			if steady {
				known += time.Since(start)
			} else {
				looked += time.Since(start)
			}
		}
	}
	b.ReportMetric(known.Seconds()/looked.Seconds(), "ratio-to-each-row")
}
