package room

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// Target of a criterion, "at most 30 %".
func Target(k results.Criterion) string {
	switch {
	case k.AtMost != nil:
		return "at most " + measure(k, results.Number(*k.AtMost))
	case k.AtLeast != nil:
		return "at least " + measure(k, results.Number(*k.AtLeast))
	}
	return wording.Dash
}

func measure(k results.Criterion, v results.Number) string {
	if u := MeasureUnit(k); u != casebook.NoUnit {
		return wording.Fine(v, u)
	}
	return wording.Percent(v)
}

// MeasureUnit is the unit of a criterion that is an amount, else none.
func MeasureUnit(k results.Criterion) casebook.Unit {
	if k.Measure != results.MeanShortfallOf {
		return casebook.NoUnit
	}
	if k.Direction != casebook.NoDirection {
		return k.Direction.Axis().Unit()
	}
	return k.Axis.Unit()
}

// Observed is the value of a criterion with its interval.
func Observed(k results.Criterion, s results.Spread) string {
	if !s.Low.OK() || !s.High.OK() {
		return measure(k, s.Value)
	}
	if u := MeasureUnit(k); u != casebook.NoUnit {
		return wording.FineInterval(s.Value, s.Low, s.High, u)
	}
	return fmt.Sprintf("%s (%s)", wording.Percent(s.Value), wording.Limits(s.Low, s.High))
}

func measureWords(k results.Criterion) string {
	switch k.Measure {
	case results.OutsideTolerance:
		return "movements outside tolerance, %"
	case results.ExpressionRatio:
		return "achieved, % of planned"
	case results.CasesRefined:
		return "completed cases with a refinement, %"
	}
	return "mean shortfall, " + wording.Unit(MeasureUnit(k))
}
