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
//
// Where their longest words would not fit so, the columns stand nearer to each other.
func (d *Doc) columnWidths(t document.Table, rows [][][]Run, total float64) (w []float64, gap float64) {
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
	left := total
	w = make([]float64, n)
	open := map[int]bool{}
	for i, c := range t.Columns {
		if c.Number {
			w[i] = d.shortHead(c.Title, wants[i].least)
			left -= w[i]
		} else {
			open[i] = true
		}
	}
	gap = colGap
	if leasts(wants, open) > left-gap*float64(n-1) {
		gap = closeGap
	}
	share(t, wants, w, open, left-gap*float64(n-1))
	return w, gap
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

// share gives words their width: columns that need less than their share keep what they
// need, those whose share is less than their longest word take that, the others share
// the rest.
func share(t document.Table, wants []want, w []float64, open map[int]bool, left float64) {
	for len(open) > 0 {
		sum := 0.0
		for i := range t.Columns {
			if open[i] {
				sum += weight(t.Columns[i])
			}
		}
		settle := func(when func(part float64, x want) (float64, bool)) bool {
			for i := range t.Columns {
				if !open[i] {
					continue
				}
				if x, ok := when(left*weight(t.Columns[i])/sum, wants[i]); ok {
					w[i], left = x, left-x
					delete(open, i)
					return true
				}
			}
			return false
		}
		if settle(func(part float64, x want) (float64, bool) { return x.full, x.full <= part && !t.ToFill }) ||
			leasts(wants, open) <= left && settle(func(part float64, x want) (float64, bool) { return x.least, x.least > part }) {
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

// leasts is what the longest words of the open columns need together.
func leasts(wants []want, open map[int]bool) (sum float64) {
	for i, x := range wants {
		if open[i] {
			sum += x.least
		}
	}
	return sum
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
