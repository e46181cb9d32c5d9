package report

import (
	"fmt"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

// markers of the styles; the margin over styles has its own.
var markers = map[casebook.Style]chart.Marker{
	casebook.NoStyle: chart.Diamond, casebook.StyleNone: chart.Cross,
	casebook.SoftwareSuggested: chart.OpenSquare, casebook.ClinicianDesigned: chart.FilledCircle,
}

// forest shows expression by axis and direction, styles as neighbouring rows.
func (l *layout) forest() {
	var panels []chart.ForestPanel
	var notes [][]int
	for _, a := range casebook.Axes() {
		if p, ids := l.panel(a); len(p.Rows) > 0 {
			panels, notes = append(panels, p), append(notes, ids)
		}
	}
	l.placeForest("forest", panels, notes, l.forestTitle(), []paper.Run{
		paper.M("Initial courses. Solid line: all that was planned; dashed: the mean of the axis over all styles. Ratio of sums, intervals clustered by case; an arrow marks an interval that leaves the scale. Styles differ in what they were planned for: see the next section before comparing them. Refinements and further measures: "),
		l.d.Ref("table-directions"), paper.M("."),
	})
}

// placeForest breaks panels over pages where they do not fit one.
func (l *layout) placeForest(id string, panels []chart.ForestPanel, notes [][]int, title string, below []paper.Run) {
	if len(panels) == 0 {
		return
	}
	lo, hi := chart.ForestRange(panels)
	const caption = 6 * paper.Baseline
	whole := chart.Forest{Panels: panels, Width: l.d.Width()}
	if full := whole.Height() + caption; full <= l.d.Height() {
		l.d.Space(1)
		l.d.Need(min(full, l.d.Height()-20))
	}
	again := false
	for len(panels) > 0 {
		n, ids := 0, []int(nil)
		for n < len(panels) {
			try := chart.Forest{Panels: panels[:n+1], Width: l.d.Width()}
			merged := union(ids, notes[n])
			if n > 0 && try.Height()+caption > l.d.Room(merged) {
				break
			}
			n, ids = n+1, merged
		}
		fo := chart.Forest{Title: "Expression by direction and style", Level: l.level(), Panels: panels[:n], Width: l.d.Width(), Lo: lo, Hi: hi}
		l.d.Place(paper.Figure{ID: id, Title: title, Chart: fo.Figure(forestDesc(panels[:n])), Below: below, Notes: ids}, again)
		panels, notes, again = panels[n:], notes[n:], true
		if len(panels) > 0 {
			l.d.NewPage()
		}
	}
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
	if c, ok := l.cell(audit.By{Axis: a, Course: audit.Initial}); ok && c.Estimate.OK() {
		p.Mean = float64(c.Estimate)
		p.Title += ": " + wording.Percent(c.Estimate) + " overall"
	}
	var ids []int
	for _, d := range directions(a) {
		label := wording.Capital(d.String())
		for _, st := range casebook.Styles() {
			c, ok := l.cell(audit.By{Axis: a, Direction: d, Style: st, Course: audit.Initial})
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

func (l *layout) forestRow(c audit.Cell, label, style string, m chart.Marker, notes []int) chart.ForestRow {
	row := chart.ForestRow{Label: label, Style: style, Marker: m, Est: nan, Low: nan, High: nan, Marks: paper.Marks(notes), Text: tooFew}
	if c.Suppressed {
		return row
	}
	row.N = wording.Count(c.Cases) + " / " + wording.Count(c.Movements)
	row.Est, row.Low, row.High = number(c.Estimate), number(c.Low), number(c.High)
	row.Text = estimateText(c.Estimate, c.Low, c.High)
	return row
}

// tooFew stands where the small-number rule hides a cell.
const tooFew = "too few to show"

// estimateText is "52 (44 to 60)", in percent, or the estimate alone.
func estimateText(est, low, high audit.Number) string {
	if !low.OK() || !high.OK() {
		return wording.Whole(est)
	}
	return wording.Whole(est) + " (" + wording.Limits(low, high) + ")"
}

// forestTitle states the lowest and the highest direction over all styles.
func (l *layout) forestTitle() string {
	var low, high *audit.Cell
	for i := range l.r.Expression {
		c := &l.r.Expression[i]
		if c.By != (audit.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: audit.Initial}) || c.By.Direction == 0 || c.Suppressed || !c.Low.OK() {
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
	say := func(c *audit.Cell) string {
		return fmt.Sprintf("%s %s (%s CI %s)", wording.Movement(c.By), wording.Percent(c.Estimate), l.level(), wording.Limits(c.Low, c.High))
	}
	return "Of the directions, " + say(low) + " was expressed least and " + say(high) + " most"
}

// keyForest is the forest of page one: directions over all styles.
func (l *layout) keyForest() {
	var panels []chart.ForestPanel
	var notes [][]int
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		p := chart.ForestPanel{Title: wording.Capital(unitWords(u)), Mean: nan}
		var ids []int
		for _, d := range casebook.Directions() {
			c, ok := l.cell(audit.By{Axis: d.Axis(), Direction: d, Course: audit.Initial})
			if !ok || c.Unit != u {
				continue
			}
			ns := l.notes(c.Warnings)
			ids = union(ids, ns)
			p.Rows = append(p.Rows, l.forestRow(c, wording.Capital(d.String()), "all styles", chart.Diamond, ns))
		}
		if len(p.Rows) > 0 {
			panels, notes = append(panels, p), append(notes, ids)
		}
	}
	l.placeForest("key", panels, notes, l.forestTitle(), []paper.Run{paper.M("Initial courses, all styles. Solid line: all that was planned. By style: "), l.d.Ref("forest"), paper.M(".")})
}
