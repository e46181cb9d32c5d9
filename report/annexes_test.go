package report

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section"
	"shortfall/report/section/room"
)

// objects are those of the results, each with the numbers that it and what lies in it may
// print. A row of an annex is accounted for where all its numbers are those of one
// object: together they are rarely found elsewhere, which TestInventedRowsAreFound counts.
type objects struct {
	of   []numbers
	size []int
	rows map[string]numbers // of the cells of expression
	with map[string][]int   // the objects that a number stands in
}

// mostHeld is how many numbers an object may hold to say something of a row; what lies
// in it and holds more than a part is left out. A cell is an interval or a share.
const mostHeld, part, cell, mostName = 160, 40, 14, 24

func objectsOf(t *testing.T, r *results.Results) *objects {
	t.Helper()
	var all any
	require.NoError(t, json.Unmarshal(fileOf(t, r), &all))
	o := &objects{with: map[string][]int{}, rows: cellsOf(r)}
	o.walk(all)
	for i, n := range o.of {
		for s := range n {
			o.with[s] = append(o.with[s], i)
		}
	}
	return o
}

// walk gives the values in and below one of the results, nil for too many.
func (o *objects) walk(v any) (held []any) {
	var below [][]any
	switch v := v.(type) {
	case map[string]any:
		for _, x := range v {
			below = append(below, o.walk(x))
		}
	case []any:
		for _, x := range v {
			below = append(below, o.walk(x))
		}
	case string:
		if len(v) > mostName { // a sentence
			return nil
		}
		return []any{v}
	case float64:
		return []any{v}
	}
	for _, b := range below {
		if len(b) <= part {
			held = append(held, b...)
		}
	}
	if len(held) > mostHeld {
		return nil
	}
	n := numbers{}
	for _, x := range held {
		n.value(x)
	}
	o.of, o.size = append(o.of, n), append(o.size, len(held))
	return held
}

// value adds the forms in which a value of the results may be printed.
func (n numbers) value(x any) {
	of, ok := formsBefore.Load(x)
	if !ok {
		forms := numbers{}
		forms.forms(x)
		of, _ = formsBefore.LoadOrStore(x, slices.Collect(maps.Keys(forms)))
	}
	for _, s := range of.([]string) {
		n[s] = true
	}
}

// formsBefore keeps them: a value stands in each object about it.
var formsBefore sync.Map

func (n numbers) forms(x any) {
	v, ok := x.(float64)
	if !ok {
		for _, s := range number.FindAllString(plain(x.(string)), -1) {
			n[s] = true
		}
		return
	}
	abs := results.Number(math.Abs(v))
	if abs == results.Number(math.Trunc(float64(abs))) && abs != 1 {
		n[wording.Fixed(abs, 0)], n[wording.Fixed(abs, 1)], n[wording.Fixed(abs, 2)] = true, true, true
		return
	}
	if abs <= 1 {
		for _, s := range number.FindAllString(wording.P(abs), -1) {
			n[s] = true
		}
	}
	n[wording.Fixed(abs, 1)], n[wording.Fixed(abs, 2)] = true, true
	if abs >= 0.5 {
		n[wording.Fixed(abs, 0)] = true
	}
	if abs < 4 {
		n[wording.Whole(abs)] = true
	}
	if abs < 0.005 || abs > 0.99 {
		n[wording.Fixed(100*abs, 1)], n[wording.Fixed(100*abs, 2)] = true, true
	}
}

// holds reports whether one object of no more values has all of some numbers.
func (o *objects) holds(row []string, most int) bool {
	if len(row) == 0 {
		return true
	}
	rarest := slices.MinFunc(row, func(a, b string) int { return len(o.with[a]) - len(o.with[b]) })
	return slices.ContainsFunc(o.with[rarest], func(i int) bool {
		return o.size[i] <= most && !slices.ContainsFunc(row, func(s string) bool { return !o.of[i][s] })
	})
}

// holdsCells reports whether each cell has several numbers, of one object each: rows with
// a column a style are made of several.
func (o *objects) holdsCells(cells [][]string) bool {
	return !slices.ContainsFunc(cells, func(c []string) bool { return len(c) == 1 || !o.holds(c, cell) })
}

// rowNumbers are those of the cells of a row that stand in no sentence of the results.
func (a *account) rowNumbers(row document.Row) (out [][]string) {
	for _, c := range row.Cells {
		text, cell := own.ReplaceAllString(plain(c.Text), ""), []string(nil)
		for _, at := range number.FindAllStringIndex(text, -1) {
			if !a.inSentence(text, at) {
				cell = append(cell, text[at[0]:at[1]])
			}
		}
		out = append(out, cell)
	}
	return out
}

// cellsOf are the numbers of every row of expression by its id, those it prints and no
// other.
func cellsOf(r *results.Results) map[string]numbers {
	out := map[string]numbers{}
	for i := range r.Expression {
		c, n := &r.Expression[i], numbers{}
		n.count(c.Cases, c.Movements)
		if c.SmallPlans.OK() {
			n.count(int(c.SmallOutside), int(c.SmallPlans))
		}
		n.ratio(c.Estimate, c.Low, c.High, c.AveragePatient.Value, c.OutsideTolerance.Value, c.OutsideTolerance.Low, c.OutsideTolerance.High, c.MedianRatio, c.LowerQuartile, c.UpperQuartile)
		dec := 0
		if c.Unit == casebook.Millimetre {
			dec = 1
		}
		n[wording.Fixed(c.MeanAbsError, dec)] = true
		out[room.RowID(c.By)] = n
	}
	return out
}

// accounts reports whether the results have the numbers of a row: those of its own cell of
// expression, of one object, or of one a cell.
func (o *objects) accounts(id string, cells [][]string) bool {
	row := slices.Concat(cells...)
	if n := o.rows[id]; n != nil {
		return !slices.ContainsFunc(row, func(s string) bool { return !n[s] })
	}
	return o.holds(row, mostHeld) || o.holdsCells(cells)
}

// annexed lists what an annex prints that neither a sentence nor one object accounts for.
func annexed(a *account, o *objects, d *document.Document) (out []string) {
	tableRows := func(t document.Table) {
		for _, row := range t.Rows {
			if cells := a.rowNumbers(row); !o.accounts(row.ID, cells) {
				out = append(out, fmt.Sprintf("%s: row %q, %v", t.Title, plain(row.Cells[0].Text), cells))
			}
		}
	}
	d.Walk(func(b document.Block, _ int) {
		switch b := b.(type) {
		case document.Para:
			out = append(out, a.text(b.Text)...)
		case document.Table:
			tableRows(b)
		case document.Figure:
			if b.Data == nil {
				b.Data = &document.Table{}
			}
			tableRows(*b.Data)
			out = append(out, drawnBeside(a, &b)...)
		}
	})
	return out
}

// drawnBeside lists the numbers of a drawing that the table behind it lacks.
func drawnBeside(a *account, f *document.Figure) (out []string) {
	known := numbers{}
	for _, row := range f.Data.Rows {
		for _, c := range row.Cells {
			known.value(c.Text)
		}
	}
	for _, d := range f.Drawings {
		for _, s := range a.drawn([]chart.Item{chart.Group{Items: d.Draw(174).Items}}, known, true) {
			out = append(out, f.Title+": "+s)
		}
	}
	return out
}

// Every number of the annexes too is found in the results: those of a row in one object.
// One that is changed in its last figure is found in nine of ten rows of expression, and
// in most of all rows: so much does the test see.
func TestAnnexesAreAccountedFor(t *testing.T) {
	r := sample()
	a, o := accountOf(t, r), objectsOf(t, r)
	d, err := section.Document(r, section.Full)
	require.NoError(t, err)
	i := slices.IndexFunc(d.Sections, func(s document.Section) bool { return s.ID == "annexes" })
	require.Positive(t, i)
	d.Sections = d.Sections[i:]
	assert.Empty(t, annexed(&a, o, d))
	assert.NotEmpty(t, annexed(&a, o, &document.Document{Sections: []document.Section{{Title: "s", Blocks: []document.Block{
		document.Table{Title: "t", Columns: []document.Column{{Title: "a"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "117 / 4711"}, {Text: "47 (12 to 93)"}}}}},
	}}}}))

	all, cells := lastFigures(&a, o, d)
	assert.Greater(t, cells.share(), 0.85, "of rows of expression")
	assert.Greater(t, all.share(), 0.6, "of all rows")
}

// seen counts the changed numbers and those found.
type seen struct{ changed, found int }

func (s seen) share() float64 { return float64(s.found) / float64(s.changed) }

// lastFigures changes every number of every ninth row, in the long form of every third, one
// at a time.
func lastFigures(a *account, o *objects, d *document.Document) (all, cells seen) {
	at, step := 0, 9
	if long {
		step = 3
	}
	d.Walk(func(b document.Block, _ int) {
		tab, _ := b.(document.Table)
		for _, row := range tab.Rows {
			if at++; at%step > 0 {
				continue
			}
			now := seen{}
			texts := a.rowNumbers(row)
			for i := range texts {
				for k, s := range texts[i] {
					texts[i][k] = s[:len(s)-1] + string('0'+(s[len(s)-1]-'0'+3)%10)
					now.changed++
					if !o.accounts(row.ID, texts) {
						now.found++
					}
					texts[i][k] = s
				}
			}
			all = seen{all.changed + now.changed, all.found + now.found}
			if o.rows[row.ID] != nil {
				cells = seen{cells.changed + now.changed, cells.found + now.found}
			}
		}
	})
	return all, cells
}
