package room

import (
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Matched strata, and what other choices would give.
var _ = Furnish("casemix", Room{
	Exhibits: Exhibits{"matched": matchedTable, "choices": choicesTable},
	OffPaper: []string{"matched"},
	Sheets: func(m *Maker) []document.Sheet {
		q := &m.Results.Questions.CaseMix
		return []document.Sheet{matchedSheet(m, q.Matched), sensitivitySheet(m, q.Sensitivity)}
	},
})

func matchedTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.CaseMix.Matched) {
		c := results.Comparison{By: x.By}
		t.add(Words(m.comparisonName(&c)), Words(pair(x.Both, x.Strata)), Words(pair(x.Inside, x.Outside)), Words(wording.Count(x.Cases)), noted(Points(x.Matched), x.Warnings), Words(Points(x.Model)), Words(Points(x.Weighted)))
	}
	return orNil(t.Table)
}

func matchedSheet(m *Maker, ms []results.Matched) document.Sheet {
	type matched = results.Matched
	return Sheet("matched strata", ms, slices.Concat(byColumns(m, func(x matched) results.By { return x.By }, false), []Field[matched]{
		{"strata", 11, func(x matched) any { return x.Strata }},
		{"strata with both styles", 11, func(x matched) any { return x.Both }},
		{"movements inside", 11, func(x matched) any { return x.Inside }},
		{"movements left out", 11, func(x matched) any { return x.Outside }},
		{"cases", 11, func(x matched) any { return x.Cases }},
	}, differences("matched (ratio)", func(x matched) results.Difference { return x.Matched }), differences("model (ratio)", func(x matched) results.Difference { return x.Model }), differences("overlap weights (ratio)", func(x matched) results.Difference { return x.Weighted }), []Field[matched]{
		{"verdict", 19, func(x matched) any { return string(x.Verdict) }}, {"warnings", 60, func(x matched) any { return warningText(x.Warnings) }},
	}))
}

// varied is one choice with the comparison it belongs to.
type varied struct {
	by results.By
	results.SensitivityRow
}

func sensitivitySheet(m *Maker, ss []results.Sensitivity) document.Sheet {
	rows := []varied{}
	for _, s := range ss {
		for _, r := range s.Rows {
			rows = append(rows, varied{s.By, r})
		}
	}
	return Sheet("sensitivity", rows, slices.Concat(byColumns(m, func(x varied) results.By { return x.by }, false), []Field[varied]{
		{"choice", 44, func(x varied) any { return x.Choice }}, {"cases", 11, func(x varied) any { return x.Cases }}, {"movements", 11, func(x varied) any { return x.Movements }},
	}, differences("adjusted (ratio)", func(x varied) results.Difference { return x.Adjusted }), differences("outside tolerance (share)", func(x varied) results.Difference { return x.Outside }), []Field[varied]{
		{"verdict by its own interval", 19, func(x varied) any { return string(x.Verdict) }},
	}))
}
