package decide

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// fewestEachWay is how many amounts a column must hold of either sign before it is asked
// about: fewer are slips, which are refused one by one.
const fewestEachWay = 3

// decideBothWays asks about columns of a wide sheet that are named after one direction and
// hold amounts of both signs: under "Extrusion" a negative amount may well be an intrusion.
func (r *File) decideBothWays() {
	type found struct {
		t    *layout.Table
		pair int
	}
	var open []found
	negative, all := 0, 0
	for _, t := range r.Tables {
		for i, p := range t.Pairs {
			n, m := r.waysOf(t, p.Cols[columns.Planned])
			if p.Direction == casebook.NoDirection || n < fewestEachWay || m < fewestEachWay || t.Kind != casebook.MovementKind || otherWay(t, i) || r.saysOtherwise(t, p) {
				continue
			}
			open = append(open, found{t, i})
			negative, all = negative+n, all+n+m
		}
	}
	if len(open) == 0 {
		return
	}
	var names, others []string
	for _, f := range open {
		d := f.t.Pairs[f.pair].Direction
		if !slices.Contains(names, d.String()) {
			names, others = append(names, d.String()), append(others, casebook.DirectionOf(d.Axis(), -d.Sign()).String())
		}
	}
	t := open[0].t
	col := t.Pairs[open[0].pair].Cols[columns.Planned]
	q := ofColumn("both ways", rules.SignAgainstWord, t, col)
	q.Text = fmt.Sprintf("%d of %d planned amounts under the name of one direction (%s) are negative: do these go the other way?", negative, all, strings.Join(names, ", "))
	q.Choices = []question.Choice{
		{Word: "other", Text: "yes, a negative amount is the opposite: " + strings.Join(others, ", "), Count: negative},
		{Word: "reject", Text: "that is not certain; these movements are left out", Count: negative},
	}
	q.Proposed = "other"
	if r.Asker.Ask(q) != "other" {
		return
	}
	for _, f := range open {
		p := &f.t.Pairs[f.pair]
		if r.bothWays[f.t] == nil {
			r.bothWays[f.t] = map[casebook.Axis]casebook.Direction{}
		}
		r.bothWays[f.t][p.Axis] = p.Direction
		p.Direction = casebook.NoDirection
	}
}

// saysOtherwise reports a pair whose direction is negative along its axis, by what was
// declared or by a legend of the file: then a positive amount contradicts its name.
func (r *File) saysOtherwise(t *layout.Table, p layout.Pair) bool {
	if d, declared, _ := r.mapping.PositiveOf(p.Axis); declared {
		return d != p.Direction
	}
	d, ok := r.legend.positiveOn(t.Sheet.Name, p.Axis)
	return ok && d != p.Direction
}

// waysOf counts the negative and the positive amounts of a column without a word.
func (r *File) waysOf(t *layout.Table, col int) (negative, positive int) {
	if col == 0 {
		return 0, 0
	}
	eachCell(t, col, func(_ int, c sheet.Cell) {
		v, ok := r.signed(c)
		switch {
		case !ok || v.Word != "" || v.Value == 0:
		case v.Value < 0:
			negative++
		default:
			positive++
		}
	})
	return negative, positive
}

// otherWay reports another pair of the table along the same axis with its own direction,
// so that the sign of the first cannot be what tells them apart.
func otherWay(t *layout.Table, i int) bool {
	return slices.ContainsFunc(t.Pairs, func(p layout.Pair) bool {
		return p.Axis == t.Pairs[i].Axis && p.Direction != t.Pairs[i].Direction
	})
}
