package report

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
)

// lossRates are features lost by the month worn, beside the comparisons.
func (l *layout) lossRates() {
	x := l.r.Questions.LossRates
	if len(x.Rates) == 0 {
		return
	}
	t := paper.Table{ID: "table-loss-rates", Title: "Features lost by the month worn", Columns: []paper.Column{
		{Head: "Features"},
		{Head: "Cases", W: 16, Right: true},
		{Head: "Lost / features", W: 28, Right: true},
		{Head: "Months worn", W: 24, Right: true},
		{Head: "Lost in 100 months (" + l.level() + "\u00a0CI)", W: 50, Right: true},
	}, Below: []paper.Run{paper.M("Months worn: " + exposureText(x.Exposure) + leftOutText(x.Excluded) + " A loss comes after the choice of the feature: it is shown beside the comparisons and never adjusted for.")}}
	for _, r := range x.Rates {
		ids := l.notes(r.Warnings)
		name := lossName(r)
		if r.Suppressed {
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: name}, {Text: tooFew, Notes: ids}, {}, {}, {}}})
			continue
		}
		rate := wording.Fixed(r.Rate.Value, 1)
		if r.Rate.Low.OK() && r.Rate.High.OK() {
			rate += " (" + wording.Fixed(r.Rate.Low, 1) + " to " + wording.Fixed(r.Rate.High, 1) + ")"
		}
		t.Rows = append(t.Rows, paper.Row{Gap: lossGap(x.Rates, r), Cells: []paper.Cell{
			{Text: name}, {Text: wording.Count(r.Cases)}, {Text: pair(r.Lost, r.Features)}, {Text: wording.Count(int(math.Round(float64(r.Months))))}, {Text: rate, Notes: ids},
		}})
	}
	l.d.Space(1.5)
	l.dense(t)
	if q := x.Ratio; q != nil && q.Low.OK() {
		ids := l.notes(q.Warnings)
		l.d.Space(0.5)
		l.d.Para(11, ids, paper.T(tidyP(fmt.Sprintf("Clinician-designed features were lost at %s times the rate of software-suggested ones on like teeth (%s CI %s to %s; P = %s).",
			wording.Fixed(q.Ratio, 2), l.level(), wording.Fixed(q.Low, 2), wording.Fixed(q.High, 2), wording.P(q.P)))+paper.Marks(ids)))
	}
}

func lossName(r results.LossRate) string {
	switch {
	case r.Style != casebook.NoStyle:
		return wording.Capital(wording.Style(r.Style))
	case r.Shape != casebook.NoShape:
		return wording.Capital(r.Shape.String())
	case r.ToothClass != casebook.NoClass:
		return wording.Capital(wording.Teeth(r.ToothClass))
	}
	return "All features"
}

// lossGap sets styles, shapes and classes apart.
func lossGap(rs []results.LossRate, r results.LossRate) bool {
	return r.Style == firstOf(rs, func(x results.LossRate) casebook.Style { return x.Style }) && r.Style != 0 ||
		r.Shape == firstOf(rs, func(x results.LossRate) casebook.Shape { return x.Shape }) && r.Shape != 0 ||
		r.ToothClass == firstOf(rs, func(x results.LossRate) casebook.ToothClass { return x.ToothClass }) && r.ToothClass != 0
}

// firstOf is the first value that is set.
func firstOf[T comparable](rs []results.LossRate, of func(results.LossRate) T) T {
	var zero T
	for _, r := range rs {
		if v := of(r); v != zero {
			return v
		}
	}
	return zero
}

func exposureText(es []results.Exclusion) string {
	s := ""
	for i, e := range es {
		if i > 0 {
			s += "; "
		}
		s += fmt.Sprintf("%s (%s)", lowerFirst(e.Reason), wording.Of(e.Movements, "feature"))
	}
	return s + "."
}

func leftOutText(es []results.Exclusion) string {
	s := ""
	for _, e := range es {
		s += fmt.Sprintf(" Left out, %s: %s.", lowerFirst(e.Reason), wording.Of(e.Movements, "feature"))
	}
	return s
}
