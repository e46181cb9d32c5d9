package report

import (
	"math"
	"strconv"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// expressed is section 3: dental charts, forest, planned against achieved.
func (l *layout) expressed() {
	l.d.Section("section-expression", "What was expressed", 200)
	if len(l.r.Expression) == 0 {
		l.d.Para(11, nil, paper.T("No planned movement with a measured outcome is on record, so there is nothing to chart."))
		return
	}
	l.dentalCharts()
	l.forest()
	l.planned()
}

// strata in print order.
var strata = []results.CourseStratum{results.Initial, results.Refinement}

func (l *layout) dentalCharts() {
	w := l.d.Width()
	var figs []*chart.Figure
	var parts []part
	for _, a := range axesByUnit {
		if fig, notes := l.dentalChart(a); fig != nil {
			figs, parts = append(figs, fig), append(parts, part{fig.H + dentalGap, notes})
		}
	}
	legend := chart.DentalLegend(w)
	figure := func(from, to int) paper.Figure {
		all := append([]*chart.Figure{legend}, figs[from:to]...)
		desc := "Thirty-two teeth facing the patient, one chart an axis; the value in each cell is percent of the plan, the cases stand below it."
		return paper.Figure{
			ID: "dental", Title: "Expression by tooth, % of the plan, facing the patient: the patient's right is on the left of the page",
			Chart: chart.Stack(dentalGap, "Expression by tooth", desc, all...),
			Below: []paper.Run{paper.M("Ratio of sums, both directions together" + l.pooledWords() + ". Cells are as wide as crowns are relative to each other (Nelson & Ash 2010). All numbers: "), l.d.Ref("table-teeth"), paper.M(".")},
		}
	}
	spread{l: l, parts: parts, frame: legend.H + l.d.Frame(figure(0, 0)), even: true, make: figure}.place()
}

const dentalGap = 2.0 // mm

// axesByUnit lists the millimetre axes before the degree axes, as figures show them.
var axesByUnit = func() (out []casebook.Axis) {
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		for _, a := range casebook.Axes() {
			if a.Unit() == u {
				out = append(out, a)
			}
		}
	}
	return out
}()

// pooledWords tells the reader where the values are partially pooled.
func (l *layout) pooledWords() string {
	for _, c := range l.r.Expression {
		if c.By.Tooth != 0 && hasPooled(c) {
			return "; values of single teeth are drawn towards the mean of all teeth by a random-intercept model, more so where cases are few"
		}
	}
	return ""
}

func hasPooled(c results.Cell) bool { return c.Pooled.OK() && c.Pooled != 0 }

// dentalChart of one axis, nil where nothing was planned along it.
func (l *layout) dentalChart(a casebook.Axis) (*chart.Figure, []int) {
	d := chart.Dental{Title: wording.Capital(a.String()), Rows: []string{"initial", "refinement"}, Width: l.d.Width()}
	var ids []int
	any := false
	for _, t := range casebook.AllTeeth() {
		tooth := chart.ToothCell{Label: t.In(l.set.Notation)}
		for _, s := range strata {
			v := chart.ToothValue{N: "0", Value: math.NaN()}
			if c, ok := l.cell(results.By{Axis: a, Tooth: t, Course: s}); ok {
				any = true
				notes := l.notes(c.Warnings)
				ids = union(ids, notes)
				v = toothValue(c, paper.Marks(notes))
			}
			tooth.Rows = append(tooth.Rows, v)
		}
		d.Teeth = append(d.Teeth, tooth)
	}
	if !any {
		return nil, nil
	}
	return d.Figure("Expression of " + a.String() + " by tooth."), ids
}

func toothValue(c results.Cell, marks string) chart.ToothValue {
	v := chart.ToothValue{N: strconv.Itoa(c.Cases), Value: math.NaN(), Marks: marks}
	est := c.Estimate
	if hasPooled(c) {
		est = c.Pooled
	}
	switch {
	case c.Suppressed:
		v.Few, v.N = true, ""
	case !est.OK():
		v.Few = true
	default:
		v.Value, v.Text = float64(est), wording.Whole(est)
	}
	return v
}
