package paper

import (
	"math"
	"strings"

	"shortfall/report/document"
)

// want is what a column needs: its longest word, and every cell on one line.
type want struct{ least, full float64 }

// columnWidths gives every column of numbers what it needs to stand on one
// line; columns of words share what is left by weight, none wider than its
// longest cell and none narrower than its longest word. A table to be filled
// in by hand takes the whole width.
func (d *Doc) columnWidths(t document.Table, rows [][][]Run, total float64) []float64 {
	n := len(t.Columns)
	wants := make([]want, n)
	for i, c := range t.Columns {
		wants[i] = wantOf([]Run{{Text: d.clean(c.Title), Bold: true}}, false)
	}
	for _, r := range rows {
		for i, cell := range r {
			x := wantOf(cell, t.Columns[i].Number)
			wants[i].least, wants[i].full = math.Max(wants[i].least, x.least), math.Max(wants[i].full, x.full)
		}
	}
	left := total - colGap*float64(n-1)
	w := make([]float64, n)
	open := map[int]bool{}
	for i, c := range t.Columns {
		if c.Number {
			w[i] = d.shortHead(c.Title, wants[i].least)
			left -= w[i]
		} else {
			open[i] = true
		}
	}
	share(t, wants, w, open, left)
	return w
}

// mostHeadLines is how many lines a head over numbers may take.
const mostHeadLines = 3

// shortHead widens a column of numbers until its head takes no more lines than that.
func (d *Doc) shortHead(title string, w float64) float64 {
	head := []Run{{Text: d.clean(title), Bold: true}}
	for len(wrap(head, w, TextPt)) > mostHeadLines {
		w++
	}
	return w
}

// share gives words their width: columns that need less than their share keep
// what they need, the others share the rest.
func share(t document.Table, wants []want, w []float64, open map[int]bool, left float64) {
	for len(open) > 0 {
		sum, settled := 0.0, false
		for i := range t.Columns {
			if open[i] {
				sum += weight(t.Columns[i])
			}
		}
		for i := range t.Columns {
			if !open[i] {
				continue
			}
			part := left * weight(t.Columns[i]) / sum
			if need := wants[i].full; need <= part && !t.ToFill {
				w[i], settled = need, true
				left -= need
				delete(open, i)
				break
			}
		}
		if settled {
			continue
		}
		for i := range t.Columns {
			if open[i] {
				w[i] = math.Max(left*weight(t.Columns[i])/sum, 4)
			}
		}
		return
	}
}

func weight(c document.Column) float64 {
	if c.Weight == 0 {
		return 1
	}
	return c.Weight
}

// wantOf measures a cell; numbers are not broken.
func wantOf(runs []Run, number bool) want {
	full := lineWidth(runs, TextPt)
	if number {
		return want{full, full}
	}
	least := 0.0
	for _, r := range runs {
		for _, word := range strings.Fields(r.Text) {
			least = math.Max(least, textWidth(word, r.Bold))
		}
	}
	return want{least, full}
}
