package audit

import (
	"cmp"
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// ruleFor is the orientation the table wants for a movement; a rule for the
// direction goes before one for the axis.
func ruleFor(r *row, table []results.FitRule) casebook.Orientation {
	for _, rule := range table {
		if rule.Direction != 0 && rule.Direction == r.direction {
			return rule.Orientation
		}
	}
	for _, rule := range table {
		if rule.Direction == 0 && rule.Axis == r.axis {
			return rule.Orientation
		}
	}
	return casebook.NoOrientation
}

// goesAgainst reports a recorded orientation that is not the table's.
func goesAgainst(r *row, table []results.FitRule) bool {
	want := ruleFor(r, table)
	return want != casebook.NoOrientation && r.mv.Orientation != casebook.NoOrientation && r.mv.Orientation != want
}

// countFit flags the featured movements whose orientation goes against the
// table and counts those that cannot be judged.
func countFit(p *prepared, out *results.FitAnswer) {
	table := p.settings.Questions.FitTable
	type key struct {
		axis        casebook.Axis
		orientation casebook.Orientation
		style       casebook.Style
	}
	counts, last := map[key]*results.FitCount{}, map[key]int{}
	for i := range p.analysed {
		r := &p.analysed[i]
		switch {
		case !featured(r):
		case ruleFor(r, table) == casebook.NoOrientation:
			out.NoRule++
		case r.mv.Orientation == casebook.NoOrientation:
			out.NotRecorded++
		case goesAgainst(r, table):
			k := key{r.axis, r.mv.Orientation, r.style}
			c := counts[k]
			if c == nil {
				c = &results.FitCount{Axis: k.axis, Recorded: k.orientation, Style: k.style}
				counts[k], last[k] = c, -1
			}
			c.Movements++
			if last[k] != r.cluster {
				c.Cases, last[k] = c.Cases+1, r.cluster
			}
		}
	}
	for _, c := range counts {
		out.Against = append(out.Against, *c)
	}
	slices.SortFunc(out.Against, func(a, b results.FitCount) int {
		return cmp.Or(cmp.Compare(a.Axis, b.Axis), cmp.Compare(a.Recorded, b.Recorded), cmp.Compare(a.Style, b.Style))
	})
	p.withholdFit(out.Against)
}

// withholdFit keeps small counts back in shared results, and never one of an
// axis alone: the comparisons give the sum of an axis.
func (p *prepared) withholdFit(counts []results.FitCount) {
	if !p.settings.Shared {
		return
	}
	for _, axis := range casebook.Axes() {
		of := pick(counts, func(c *results.FitCount) bool { return c.Axis == axis })
		for _, c := range withheldOf(of, p.settings.MinCellCases, func(c *results.FitCount) int { return c.Cases }) {
			*c = results.FitCount{Axis: c.Axis, Recorded: c.Recorded, Style: c.Style, Suppressed: true}
		}
	}
}

// featureFit sets features whose long face is square to the movement, by the
// table, against those that go against it.
func (p *prepared) featureFit() results.FitAnswer {
	q := p.settings.Questions
	out := results.FitAnswer{Table: q.FitTable, TableSource: q.FitSource}
	countFit(p, &out)
	judged := func(r *row) bool {
		return featured(r) && r.mv.Orientation != casebook.NoOrientation && ruleFor(r, q.FitTable) != casebook.NoOrientation
	}
	g := &grouping{
		group: func(r *row) bool { return !goesAgainst(r, q.FitTable) },
		names: [2]string{"with the table", "against the table"},
		adjusters: func(rows []int32) []adjuster {
			return p.wordsOf(rows, "style", func(r *row) int { return int(r.style) })
		},
	}
	by, rows := p.cellsByDirection(judged)
	for i := range by {
		out.Comparisons = append(out.Comparisons, p.compareGroups(by[i], rows[i], g))
	}
	p.judgeGroups(out.Comparisons)
	return out
}
