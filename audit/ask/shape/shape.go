// Package shape asks whether the shape and the size of an attachment went with
// how much of the plan was expressed, in the same mouth.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package shape

import (
	"context"
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Answer sets every named shape against the commonest of its direction and
// course, and asks for the change of expression with each millimetre of size.
// Both are asked among teeth with an attachment, and given its style.
func Answer(ctx context.Context, p *rows.Set) (out results.ShapeAnswer) {
	for i := range p.Analysed {
		if r := &p.Analysed[i]; rows.Featured(r) {
			if !shaped(r) {
				out.ShapeNotRecorded++
			}
			if !sized(r) {
				out.SizeNotRecorded++
			}
		}
	}
	var shapes, sizes between.Family
	by, lists := between.CellsByDirection(p, shaped)
	for i := range by {
		againstCommonest(&shapes, p, by[i], lists[i])
	}
	by, lists = between.CellsByDirection(p, sized)
	for i := range by {
		bySize(&sizes, p, by[i], lists[i])
	}
	out.Shapes, out.Sizes = shapes.Judge(ctx, p), sizes.Judge(ctx, p)
	return out
}

// shaped is an attachment of a named shape; other is none.
func shaped(r *rows.Row) bool {
	return rows.Featured(r) && r.Movement.Shape != casebook.NoShape && r.Movement.Shape != casebook.OtherShape
}

func sized(r *rows.Row) bool {
	return rows.Featured(r) && r.Movement.SizeMM.OK && r.Movement.SizeMM.Value > 0
}

// againstCommonest sets the shapes of one cell against the one with most
// movements; of equals the first in print order.
func againstCommonest(f *between.Family, p *rows.Set, by results.By, which []int32) {
	var of [casebook.ShapeCount + 1][]int32
	for _, i := range which {
		at := &of[p.Analysed[i].Movement.Shape]
		*at = append(*at, i)
	}
	reference := casebook.Shapes()[0]
	for _, s := range casebook.Shapes() {
		if len(of[s]) > len(of[reference]) {
			reference = s
		}
	}
	for _, s := range casebook.Shapes() {
		if s == reference || len(of[s]) == 0 {
			continue
		}
		either := func(r *rows.Row) bool {
			return shaped(r) && (r.Movement.Shape == s || r.Movement.Shape == reference)
		}
		two := slices.Concat(of[s], of[reference])
		slices.Sort(two)
		g := &between.Grouping{
			Group:  func(r *rows.Row) bool { return r.Movement.Shape == s },
			Names:  [2]string{"with " + s.String() + " attachments", "with " + reference.String() + " ones"},
			Also:   []between.Covariate{between.StyleCovariate()},
			Admits: either,
		}
		if !slices.ContainsFunc(two, func(i int32) bool { return !sized(&p.Analysed[i]) }) {
			g.Also = append(g.Also, between.Covariate{Name: "attachment size", Value: size})
			g.Admits = func(r *rows.Row) bool { return either(r) && sized(r) }
		}
		f.Ask(by, two, g)
	}
}

func size(r *rows.Row) float64 { return r.Movement.SizeMM.Value }

// bySize asks for the change of expression with one more millimetre of the
// attachment's longest side; the halves are those up to the median size of the
// cell and above it.
func bySize(f *between.Family, p *rows.Set, by results.By, which []int32) {
	sizes := make([]float64, len(which))
	for k, i := range which {
		sizes[k] = size(&p.Analysed[i])
	}
	slices.Sort(sizes)
	middle := sizes[(len(sizes)-1)/2]
	f.Ask(by, which, &between.Grouping{
		Group: func(r *rows.Row) bool { return size(r) > middle },
		Names: [2]string{"with larger attachments", "with smaller ones"},
		Also: []between.Covariate{
			between.StyleCovariate(),
			{Name: "shape", Words: true, Value: func(r *rows.Row) float64 { return float64(r.Movement.Shape) }},
		},
		Admits: sized, Dose: size, Per: "1 mm of attachment",
	})
}

// Withhold keeps small comparisons back, and never one shape of a cell alone: with
// the reference, which every row of the cell prints, it could be had from the total.
func Withhold(p *rows.Set, a *results.ShapeAnswer) {
	for from := 0; from < len(a.Shapes); {
		to := from
		for to < len(a.Shapes) && a.Shapes[to].By == a.Shapes[from].By {
			to++
		}
		cell := disclose.Pick(a.Shapes[from:to], func(*results.GroupComparison) bool { return true })
		for _, c := range disclose.WithheldOf(cell, p.Settings.MinCellCases, func(c *results.GroupComparison) int { return min(c.Group.Cases, c.Reference.Cases) }) {
			between.KeepBack(c, &p.Settings)
		}
		from = to
	}
	between.WithholdGroups(&p.Settings, a.Shapes)
	between.WithholdGroups(&p.Settings, a.Sizes)
}
