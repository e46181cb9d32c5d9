package audit

import (
	"shortfall/audit/ask"
	"shortfall/audit/results"
)

// columns name the definition and the method of every number in the results, by the
// path of its field; a path takes in what lies below it, the longest goes first. From
// a number a reader comes to its formula and its source by this table.
func columns(qs []ask.Question) []results.Column {
	var out []results.Column
	for i := range qs {
		out = append(out, qs[i].Columns...)
	}
	return append(
		out,
		results.Column{Field: "front.dots", Definition: "difference-adjusted", Method: "same-mouth"},
		results.Column{Field: "front.changes", Definition: "change-in-time", Method: "model-cr2"},
		results.Column{Field: "front.arches", Definition: "pooled-expression", Method: "random-intercept"},
		results.Column{Field: "front.arches.axes.teeth.raw", Definition: "expression", Method: "ratio-cr2"},
	)
}
