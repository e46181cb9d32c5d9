package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// planned sets achieved against planned by size of plan, a panel an axis.
func (l *layout) planned() {
	var panels []chart.PlanPanel
	withheld := false
	for _, a := range axesByUnit {
		p := chart.PlanPanel{Title: wording.Capital(a.String()), Unit: wording.Unit(a.Unit()), Tolerance: l.set.Tolerance(a.Unit())}
		for _, s := range casebook.Styles() {
			x := chart.PlanSeries{Name: wording.Style(s), Marker: markers[s]}
			for _, b := range l.r.Questions.ByPlan {
				if b.Axis != a || b.Style != s {
					continue
				}
				if b.Suppressed || !b.Low.OK() {
					withheld = true
					continue
				}
				x.Points = append(x.Points, chart.PlanPoint{Planned: number(b.Planned), Achieved: number(b.Achieved), Low: number(b.Low), High: number(b.High)})
			}
			if len(x.Points) > 0 {
				p.Series = append(p.Series, x)
			}
		}
		if len(p.Series) > 0 {
			panels = append(panels, p)
		}
	}
	if len(panels) == 0 {
		return
	}
	title := "Planned against achieved in initial courses, by size of plan and style"
	below := "A mark is a quarter of the plans of its axis, small to large, under one style: median planned and median achieved. The higher of two marks above one another achieved more of like plans; nothing else is adjusted for."
	if withheld {
		below += fmt.Sprintf(" Not drawn: marks of fewer than %d cases.", l.set.MinIntervalCases)
	}
	l.d.Space(1)
	l.d.Place(paper.Figure{
		ID: "planned", Title: title, Chart: chart.PlanPanels{Title: title, Panels: panels, Width: l.d.Width()}.Figure(plannedDesc(l.r.Questions.ByPlan)),
		Below: []paper.Run{paper.M(below + " Numbers: " + onSheet("planned and achieved") + ".")},
	}, false)
}

func plannedDesc(bs []results.PlanBin) string {
	s := ""
	for _, b := range bs {
		if !b.Suppressed {
			s += fmt.Sprintf("%s, %s, planned %s: achieved %s, %s in %s. ", b.Axis, wording.Style(b.Style),
				wording.Amount(b.Planned, b.Unit), wording.Amount(b.Achieved, b.Unit), wording.Of(b.Movements, "movement"), wording.Of(b.Cases, "case"))
		}
	}
	return s
}
