package room

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// Notes turns warnings into notes.
func Notes(lists ...[]results.Warning) (out []document.Note) {
	for _, ws := range lists {
		for _, w := range ws {
			out = append(out, document.Note{Text: wording.Warning(w)})
		}
	}
	return out
}

// Number of the results as a figure takes it, NaN where nothing was estimated.
func Number(v results.Number) float64 { return float64(v) }

// Anchor is the id of an exhibit in the document.
func Anchor(id string) string { return strings.ReplaceAll(id, ".", "-") }

// Expressed is the estimate of a cell, with that for the average patient where the two
// differ by more than their error.
func Expressed(c *results.Cell) string {
	s := Estimate(c.Estimate, c.Low, c.High)
	if c.AverageDiffers {
		s += "; by patient " + wording.Whole(c.AveragePatient.Value)
	}
	return s
}

// Estimate is "52 (44 to 60)", in percent, or the estimate alone.
func Estimate(est, low, high results.Number) string {
	if !low.OK() || !high.OK() {
		return wording.Whole(est)
	}
	return wording.Whole(est) + " (" + wording.Limits(low, high) + ")"
}

// Points is "+14 (+9 to +20)".
func Points(d results.Difference) string {
	if !d.Low.OK() || !d.High.OK() {
		return wording.Points(d.Difference)
	}
	return wording.Points(d.Difference) + " (" + wording.PointLimits(d.Low, d.High) + ")"
}

// Markers of the styles, the same in every figure.
var Markers = map[casebook.Style]chart.Marker{
	casebook.NoStyle: chart.Diamond, casebook.StyleNone: chart.Cross,
	casebook.SoftwareSuggested: chart.OpenSquare, casebook.ClinicianDesigned: chart.FilledCircle,
}

// Words are a cell of text.
func Words(s string) document.Cell { return document.Cell{Text: s} }

func noted(s string, ws ...[]results.Warning) document.Cell {
	return document.Cell{Text: s, Notes: Notes(ws...)}
}

func pair(a, b int) string { return wording.Count(a) + " / " + wording.Count(b) }

func versus(a, b int) string { return wording.Count(a) + " v " + wording.Count(b) }

// shareText is "31 % (17/55)"; a handful is a count alone.
func shareText(s results.Share, hidden bool) string {
	switch {
	case hidden:
		return tooFew
	case s.Denominator == 0:
		return wording.Dash
	case s.Denominator < 10:
		return wording.Count(s.Numerator) + " of " + wording.Count(s.Denominator)
	}
	return wording.Share(s.Numerator, s.Denominator) + " (" + wording.Count(s.Numerator) + "/" + wording.Count(s.Denominator) + ")"
}

// tooFew stands where the small-number rule hides a row.
const tooFew = "too few"

func (m *Maker) movementCourse(by results.By) string {
	return wording.Capital(m.Names.Movement(by)) + ", " + wording.Course(by.Course)
}

// AxisName is the name that the results give an axis.
func (m *Maker) AxisName(a casebook.Axis) string {
	for _, x := range m.Results.Front.Arches.Axes {
		if x.Axis == a && x.Direction == casebook.NoDirection {
			return x.Name
		}
	}
	return wording.Capital(a.String())
}
