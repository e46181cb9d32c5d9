package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// Clinicians and practices beside each other.
var _ = Furnish("funnels", Room{
	Exhibits: Exhibits{"figure": funnel, "table": funnelTable},
	OffPaper: []string{"figure"},
	Sheets:   func(m *Maker) []document.Sheet { return []document.Sheet{funnelSheet(m.Results.Questions.Funnels)} },
})

type funnelDrawing struct{ chart.Funnel }

func (d funnelDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

// fewestUnits is how many clinicians or practices make a funnel worth drawing.
const fewestUnits = 10

func funnel(m *Maker, e *results.Exhibit) document.Block {
	fs := chosen(e, m.Results.Questions.Funnels)
	if len(fs) != 1 || len(fs[0].Points) < fewestUnits {
		return nil
	}
	f := fs[0]
	d := funnelDrawing{chart.Funnel{Title: e.Title, Target: float64(f.Target), XLabel: "size", YLabel: f.Measure + ", %"}}
	for _, p := range f.Points {
		d.Points = append(d.Points, chart.FunnelPoint{ID: f.Units + " " + p.Code, Code: p.Code, Size: Number(p.Effective), Value: Number(p.Value), Outside: p.Beyond95, Beyond: p.Beyond998})
	}
	for _, x := range f.Limits {
		d.Limits = append(d.Limits, chart.FunnelLimit{Size: Number(x.Size), Low95: Number(x.Low95), High95: Number(x.High95), Low998: Number(x.Low998), High998: Number(x.High998)})
	}
	return document.Figure{ID: Anchor(e.ID), Title: e.Title, Desc: f.Reading, Drawings: []document.Drawing{d}}
}

// funnelTable lists units by code, in order of code.
func funnelTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, f := range chosen(e, m.Results.Questions.Funnels) {
		if f.Suppressed {
			continue
		}
		t.group(wording.Capital(f.Measure) + ", by " + f.Units)
		for _, p := range f.Points {
			where := "inside"
			switch {
			case p.Beyond998:
				where = "outside 99.8 %"
			case p.Beyond95:
				where = "outside 95 %"
			}
			t.add(Words(p.Code), Words(wording.Count(p.Cases)), Words(pair(p.Events, p.Total)), Words(wording.Whole(p.Value)), Words(where))
		}
	}
	return orNil(t.Table)
}

// unit is a point of a funnel with the measure it belongs to.
type unit struct {
	f results.Funnel
	results.FunnelPoint
}

func funnelSheet(fs []results.Funnel) document.Sheet {
	rows := []unit{}
	for _, f := range fs {
		if !f.Shown {
			continue
		}
		for _, p := range f.Points {
			rows = append(rows, unit{f, p})
		}
	}
	return Sheet("funnel", rows, []Field[unit]{
		{"measure", 40, func(u unit) any { return u.f.Measure }},
		{"units", 12, func(u unit) any { return u.f.Units }},
		{"code", 16, func(u unit) any { return u.Code }},
		{"cases", 11, func(u unit) any { return u.Cases }},
		{"total", 11, func(u unit) any { return u.Total }},
		{"events", 11, func(u unit) any { return u.Events }},
		{"effective size", 11, func(u unit) any { return u.Effective }},
		{"share", 11, func(u unit) any { return u.Value }},
		{"pooled share", 11, func(u unit) any { return u.f.Target }},
		{"outside 95 % limits", 11, func(u unit) any { return u.Beyond95 }},
		{"outside 99.8 % limits", 11, func(u unit) any { return u.Beyond998 }},
	})
}
