// Package attachment asks whether teeth with an attachment expressed more of their
// plan than teeth without one, in the same mouth.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package attachment

import (
	"context"

	"shortfall/audit/between"
	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Answer sets movements with an attachment of either style against movements
// recorded as having none, within direction and course.
func Answer(ctx context.Context, p *rows.Set) (out results.AttachmentAnswer) {
	recorded := func(r *rows.Row) bool { return r.Style != casebook.NoStyle }
	for i := range p.Analysed {
		if !recorded(&p.Analysed[i]) {
			out.NotRecorded++
		}
	}
	g := &between.Grouping{
		Group: rows.Featured, Names: [2]string{"with an attachment", "without one"}, Admits: recorded,
	}
	var f between.Family
	by, lists := between.CellsByDirection(p, recorded)
	for i := range by {
		f.Ask(by[i], lists[i], g)
	}
	out.Comparisons = f.Judge(ctx, p)
	return out
}

// withhold keeps back small comparisons, and those of a direction in which a
// style is kept back: both styles together would tell it.
func withhold(p *rows.Set, r *results.Results) {
	a := &r.Questions.Attachment
	between.WithholdGroups(&p.Settings, a.Comparisons)
	shown := grid.ShownCells(r.Expression)
	for i := range a.Comparisons {
		for _, style := range append([]casebook.Style{casebook.NoStyle}, casebook.Styles()...) {
			by := a.Comparisons[i].By
			by.Style = style
			if told, there := shown[by]; there && !told {
				between.KeepBack(&a.Comparisons[i], &p.Settings)
			}
		}
	}
}
