package decide

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// manyPositive amounts along one axis are hardly all positive by chance: where both ways
// are as common, once in 4,096 axes.
const manyPositive = 12

// askSizes asks about axes without one negative amount in a file that carries signs along
// others: extrusion and intrusion may well be told apart by sign, and rotations be sizes.
// Those that are sizes are no longer open.
func (r *File) askSizes(open map[casebook.Axis]bool, tables []*layout.Table) {
	amounts, negative := r.amountsAlong(tables)
	n := 0
	var names []string
	axes := slices.DeleteFunc(casebook.Axes(), func(a casebook.Axis) bool {
		return !open[a] || negative[a] || amounts[a] < manyPositive || r.Plans[tables[0]].PlusAlong[a]
	})
	for _, a := range axes {
		n += amounts[a]
		names = append(names, a.String())
	}
	if len(axes) == 0 || len(negative) == 0 || r.anyPositions() {
		return
	}
	word := r.Asker.Ask(question.Question{
		ID: "sizes", Rule: string(rules.SizeOnly),
		Text: fmt.Sprintf("none of %d planned amounts of %s is negative, while others are: are these sizes without direction?", n, strings.Join(names, ", ")),
		Choices: []question.Choice{
			{Word: "sizes", Text: "sizes only: how far, not which way", Count: n},
			{Word: "signed", Text: "with sign, all of them in the same direction", Count: n},
		},
		Proposed: "sizes", Examples: r.amountExamples(r.along(axes)),
	})
	if word == "signed" {
		return
	}
	for _, a := range axes {
		delete(open, a) // where it is not answered, one question after the other
		for _, t := range tables {
			p := r.Plans[t]
			p.SizesAlong[a] = word == "sizes"
			r.Plans[t] = p
		}
	}
}

// amountsAlong counts the planned amounts along each axis that name no direction, and
// notes the axes of which one is negative.
func (r *File) amountsAlong(tables []*layout.Table) (n map[casebook.Axis]int, negative map[casebook.Axis]bool) {
	n, negative = map[casebook.Axis]int{}, map[casebook.Axis]bool{}
	for _, t := range slices.Compact(slices.Clone(tables)) {
		words, read, of := map[string]bool{}, r.signedTexts(t), amountsOf(t)
		constant, _, _ := values.ParseAxis(t.Constants[columns.Axis])
		r.eachRow(t, func(row sheet.Row) {
			if r.rowDirection(t, row, words) {
				return
			}
			own := cmp.Or(r.axisIn(t, row), constant)
			for _, a := range of {
				axis, v := cmp.Or(a.axis, own), read(row, a.planned)
				if v.value == 0 || v.word || a.directed || axis == casebook.NoAxis {
					continue
				}
				n[axis]++
				if v.value < 0 {
					negative[axis] = true
				}
			}
		})
	}
	return n, negative
}
