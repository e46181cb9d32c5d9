package room

import (
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// Attachments lost, and how fast.
var _ = Furnish("losses", Room{
	Exhibits: Exhibits{"table": lossTable, "rates": lossRateTable},
	Sheets: func(m *Maker) []document.Sheet {
		return append([]document.Sheet{lossSheet(m.Results.Losses)}, lossRateSheets(m.Results.Questions.LossRates)...)
	},
})

func lossTable(m *Maker, e *results.Exhibit) document.Block {
	var s byStyle
	for _, p := range m.Results.Losses {
		s.put(wording.Capital(wording.Teeth(p.ToothClass)), p.Style, noted(shareText(p.Lost, p.Suppressed), p.Lost.Warnings))
	}
	return s.table(e, casebook.Styles()[1:])
}

// lossName is the row of attachments lost by the month worn.
func lossName(r results.LossRate) string {
	switch {
	case r.Style != casebook.NoStyle:
		return wording.Capital(wording.Style(r.Style))
	case r.Shape != casebook.NoShape:
		return wording.Capital(r.Shape.String())
	case r.ToothClass != casebook.NoClass:
		return wording.Capital(wording.Teeth(r.ToothClass))
	}
	return "All attachments"
}

func lossRateTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, r := range m.Results.Questions.LossRates.Rates {
		name := lossName(r)
		if r.Suppressed {
			t.fill(Words(name), noted(tooFew, r.Warnings))
			continue
		}
		t.add(Words(name), Words(wording.Count(r.Cases)), Words(pair(r.Lost, r.Features)), Words(wording.Count(int(math.Round(float64(r.Months))))), noted(rateText(r.Rate), r.Warnings))
	}
	return orNil(t.Table)
}

func lossSheet(rows []results.Loss) document.Sheet {
	return Sheet("losses", rows, []Field[results.Loss]{
		{"style", 20, func(x results.Loss) any { return wording.Style(x.Style) }},
		{"tooth class", 12, func(x results.Loss) any { return Text(x.ToothClass.String()) }},
		{"cases", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Cases) }},
		{"attachments", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Features) }},
		{"lost", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Numerator) }},
		{"share", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Value) }},
		{"low", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.Low) }},
		{"high", 11, func(x results.Loss) any { return blankIf(x.Suppressed, x.Lost.High) }},
		{"suppressed", 11, func(x results.Loss) any { return x.Suppressed }},
	})
}

func lossRateSheets(l results.LossRates) []document.Sheet {
	type rate = results.LossRate
	numbers := slices.Concat([]Field[rate]{
		{"cases", 11, func(x rate) any { return x.Cases }}, {"attachments", 11, func(x rate) any { return x.Features }}, {"lost", 11, func(x rate) any { return x.Lost }}, {"months worn", 11, func(x rate) any { return x.Months }},
	}, spreads("lost in 100 months", func(x rate) results.Spread { return x.Rate }))
	cols := append([]Field[rate]{
		{"attachments of", 34, func(x rate) any { return lossName(x) }},
	}, shown(func(x rate) bool { return x.Suppressed }, numbers)...)
	rates := Sheet("loss rates", l.Rates, append(cols, Field[rate]{"method", 40, func(x rate) any { return Text(x.Method) }},
		Field[rate]{"suppressed", 11, func(x rate) any { return x.Suppressed }}, Field[rate]{"warnings", 60, func(x rate) any { return warningText(x.Warnings) }}))
	ratios := []results.LossRatio{}
	if l.Ratio != nil {
		ratios = append(ratios, *l.Ratio)
	}
	return []document.Sheet{rates, Sheet("loss ratio", ratios, []Field[results.LossRatio]{
		{"clinician-designed over software-suggested", 24, func(x results.LossRatio) any { return x.Ratio }},
		{"low", 11, func(x results.LossRatio) any { return x.Low }},
		{"high", 11, func(x results.LossRatio) any { return x.High }},
		{"P", 11, func(x results.LossRatio) any { return x.P }},
		{"method", 60, func(x results.LossRatio) any { return Text(x.Method) }},
		{"warnings", 60, func(x results.LossRatio) any { return warningText(x.Warnings) }},
	})}
}
