package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// markers of the styles; the margin over styles has its own.
var markers = map[casebook.Style]chart.Marker{
	casebook.NoStyle: chart.Diamond, casebook.StyleNone: chart.Cross,
	casebook.SoftwareSuggested: chart.OpenSquare, casebook.ClinicianDesigned: chart.FilledCircle,
}

// forest shows expression by axis and direction, styles as neighbouring rows.
func (l *layout) forest() {
	var panels []chart.ForestPanel
	var parts []part
	for _, a := range axesByUnit {
		if p, ids := l.panel(a); len(p.Rows) > 0 {
			panels, parts = append(panels, p), append(parts, part{p.Height(), ids})
		}
	}
	pale := ""
	for _, c := range l.r.Expression {
		if c.BelowDetectable && c.By.Style != casebook.NoStyle {
			pale = " Pale: mean difference from the plan below the smallest change the measurement can detect."
			break
		}
	}
	if len(panels) == 0 {
		return
	}
	f := l.forestFigure("forest", panels, parts, l.forestTitle(), []paper.Run{
		paper.M("Initial courses. Solid line: all that was planned; dashed: mean of the axis over all styles. Ratio of sums, intervals clustered by case; an arrow marks one that leaves the scale." + pale + " The styles had different plans: read the next section before comparing them. All numbers: "),
		l.d.Ref("table-directions"), paper.M("."),
	})
	l.d.Space(1)
	if whole := f.height() + l.d.NotesHeight(f.notes()); whole <= l.d.Height() {
		l.d.Need(whole)
	}
	f.place()
}

// forestFigure sets panels on one scale.
func (l *layout) forestFigure(id string, panels []chart.ForestPanel, parts []part, title string, below []paper.Run) spread {
	lo, hi := chart.ForestRange(panels)
	figure := func(from, to int) paper.Figure {
		fo := chart.Forest{Title: "Expression by direction and style", Level: l.level(), Panels: panels[from:to], Width: l.d.Width(), Lo: lo, Hi: hi}
		return paper.Figure{ID: id, Title: title, Chart: fo.Figure(forestDesc(panels[from:to])), Below: below}
	}
	return spread{l: l, parts: parts, frame: chart.ForestFrame + l.d.Frame(figure(0, 0)), even: true, make: figure}
}

func forestDesc(panels []chart.ForestPanel) string {
	s := ""
	for _, p := range panels {
		for _, r := range p.Rows {
			s += fmt.Sprintf("%s, %s: %s %%, %s cases and movements. ", r.Label, r.Style, r.Text, r.N)
		}
	}
	return s
}

// panel of one axis: its directions by style, initial courses.
func (l *layout) panel(a casebook.Axis) (chart.ForestPanel, []int) {
	p := chart.ForestPanel{Title: fmt.Sprintf("%s, %s", wording.Capital(a.String()), unitWords(a.Unit())), Mean: nan}
	if c, ok := l.cell(results.By{Axis: a, Course: results.Initial}); ok && c.Estimate.OK() {
		p.Mean = float64(c.Estimate)
		p.Title += ": " + wording.Percent(c.Estimate) + " overall"
	}
	var ids []int
	for _, d := range directions(a) {
		label := wording.Capital(d.String())
		for _, st := range casebook.Styles() {
			c, ok := l.cell(results.By{Axis: a, Direction: d, Style: st, Course: results.Initial})
			if !ok {
				continue
			}
			notes := l.notes(c.Warnings)
			ids = union(ids, notes)
			p.Rows = append(p.Rows, l.forestRow(c, label, wording.Style(st), markers[st], notes))
			label = ""
		}
	}
	return p, ids
}

func (l *layout) forestRow(c results.Cell, label, style string, m chart.Marker, notes []int) chart.ForestRow {
	row := chart.ForestRow{Label: label, Style: style, Marker: m, Est: nan, Low: nan, High: nan, Marks: paper.Marks(notes), Text: tooFew}
	if c.Suppressed {
		return row
	}
	row.N = wording.Count(c.Cases) + " / " + wording.Count(c.Movements)
	row.Est, row.Low, row.High = number(c.Estimate), number(c.Low), number(c.High)
	row.Text, row.Pale = estimateText(c.Estimate, c.Low, c.High), c.BelowDetectable
	return row
}

// tooFew stands where the small-number rule hides a cell.
const (
	tooFew      = "too few to show"
	tooFewShort = "too few"
)

// estimateText is "52 (44 to 60)", in percent, or the estimate alone.
func estimateText(est, low, high results.Number) string {
	if !low.OK() || !high.OK() {
		return wording.Whole(est)
	}
	return wording.Whole(est) + " (" + wording.Limits(low, high) + ")"
}

// forestTitle states the lowest and the highest direction over all styles.
func (l *layout) forestTitle() string {
	var low, high *results.Cell
	for i := range l.r.Expression {
		c := &l.r.Expression[i]
		if c.By != (results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: results.Initial}) || c.By.Direction == 0 || c.Suppressed || !c.Low.OK() {
			continue
		}
		if low == nil || c.Estimate < low.Estimate {
			low = c
		}
		if high == nil || c.Estimate > high.Estimate {
			high = c
		}
	}
	if low == nil || low == high {
		return "Expression by direction and feature style, percent of the planned amount"
	}
	say := func(c *results.Cell) string {
		return fmt.Sprintf("%s, %s (%s CI\u00a0%s)", wording.Movement(c.By), wording.Percent(c.Estimate), l.level(), wording.Limits(c.Low, c.High))
	}
	return "Expressed least: " + say(low) + "; most: " + say(high)
}

// keyForest is the forest of page one: directions over all styles.
func (l *layout) keyForest(rest float64) {
	var panels []chart.ForestPanel
	var parts []part
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		p := chart.ForestPanel{Title: wording.Capital(unitWords(u)), Mean: nan}
		var ids []int
		for _, d := range casebook.Directions() {
			c, ok := l.cell(results.By{Axis: d.Axis(), Direction: d, Course: results.Initial})
			if !ok || c.Unit != u {
				continue
			}
			ns := l.notes(c.Warnings)
			ids = union(ids, ns)
			p.Rows = append(p.Rows, l.forestRow(c, wording.Capital(d.String()), "all styles", chart.Diamond, ns))
		}
		if len(p.Rows) > 0 {
			panels, parts = append(panels, p), append(parts, part{p.Height(), ids})
		}
	}
	if len(panels) == 0 {
		return
	}
	f := l.forestFigure("key", panels, parts, l.forestTitle(), []paper.Run{paper.M("Initial courses, all styles. Solid line: all that was planned. By style: "), l.d.Ref("forest"), paper.M(".")})
	if f.height()+rest <= l.d.Room(f.notes()) {
		f.place()
		return
	}
	l.instead(l.forestTitle(), "forest")
}
