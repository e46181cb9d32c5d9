package report

import (
	"fmt"
	"math"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// whoIsIn is section 2: flow, ascertainment, completeness.
func (l *layout) whoIsIn() {
	l.d.Section("section-flow", "Who is in it", 215)
	l.flowFigure()
	l.ascertainment()
	l.completeness()
}

func (l *layout) flowFigure() {
	f := l.r.Flow
	fl := chart.Flow{Title: "Flow", Width: l.d.Width()}
	first := chart.FlowBox{Title: "in the files of this audit", Count: wording.Of(f.Rows.Read, "row") + " read"}
	for _, o := range []struct {
		n    int
		text string
	}{{f.Rows.Rejected, "rejected with their reasons kept"}, {f.Rows.Blank, "empty, totals or examples"}, {f.Superseded, "superseded by a later correction"}} {
		if o.n > 0 {
			first.Out = append(first.Out, wording.Of(o.n, "row")+" "+o.text)
		}
	}
	if f.EarlierVersions > 0 {
		first.Out = append(first.Out, "not counted: "+wording.Of(f.EarlierVersions, "file")+" read again since in a later version")
	}
	fl.Boxes = append(fl.Boxes, first)
	for _, s := range f.Steps {
		b := chart.FlowBox{Title: s.Title, Count: wording.Of(s.Movements, "movement") + " in " + casesOf(s.Cases, s.Suppressed)}
		for _, e := range s.Excluded {
			b.Out = append(b.Out, exclusionText(e))
		}
		fl.Boxes = append(fl.Boxes, b)
	}
	desc := fmt.Sprintf("From %d rows read to %d movements analysed in %d cases.", f.Rows.Read, l.r.Scope.Movements, l.r.Scope.Cases)
	l.d.Place(paper.Figure{
		ID: "flow", Title: "From rows read to movements analysed: " + wording.Of(l.r.Scope.Movements, "movement") + " in " + wording.Of(l.r.Scope.Cases, "case"),
		Chart: fl.Figure(desc), Below: []paper.Run{paper.M("A case leaves with its last movement. Rows are counted once a file; one row can hold several movements.")},
	}, false)
}

func exclusionText(e results.Exclusion) string {
	var counts []string
	if e.Rows > 0 {
		counts = append(counts, wording.Of(e.Rows, "row"))
	}
	if e.Movements > 0 {
		counts = append(counts, wording.Of(e.Movements, "movement"))
	}
	if e.Cases > 0 || e.Suppressed {
		counts = append(counts, casesOf(e.Cases, e.Suppressed))
	}
	return strings.Join(counts, ", ") + ": " + e.Reason
}

// casesOf writes a number of cases, or that it is withheld: because it is small,
// or because a small one would follow from it.
func casesOf(n int, withheld bool) string {
	if withheld {
		return "cases not shown"
	}
	return wording.Of(n, "case")
}

func (l *layout) ascertainment() {
	f := l.r.Flow
	l.d.Heading("Ascertainment", 3*paper.Baseline)
	if f.Ascertained.Denominator == 0 && f.CasesLogged > 0 {
		ids := l.notes(f.Ascertained.Warnings)
		l.d.Para(11, ids, paper.T("How many of the logged cases contribute an analysed movement is "+tooFew+paper.Marks(ids)+". The case log holds "+wording.Of(f.CasesLogged, "case")+statuses(f.CasesByStatus)+"."))
		return
	}
	if f.Ascertained.Denominator == 0 {
		l.d.Para(11, nil, paper.T("No started case is logged, so it is not known how many cases the movements should come from."))
		return
	}
	ids := l.notes(f.Ascertained.Warnings)
	l.d.Para(11, ids, paper.T(fmt.Sprintf("%s of the %s that were started and logged contribute at least one analysed movement (%s)",
		wording.Count(f.Ascertained.Numerator), wording.Of(f.Ascertained.Denominator, "case"), wording.Share(f.Ascertained.Numerator, f.Ascertained.Denominator))+paper.Marks(ids)+". "),
		paper.T("The case log holds "+wording.Of(f.CasesLogged, "case")+statuses(f.CasesByStatus)+"."))
}

func statuses(list []results.StatusCount) string {
	var parts []string
	for _, s := range list {
		name := s.Status.String()
		if s.Status == casebook.NoStatus {
			name = "without a status"
		}
		if s.Suppressed {
			parts = append(parts, name+" "+tooFew)
			continue
		}
		parts = append(parts, wording.Count(s.Cases)+"\u00a0"+name)
	}
	if len(parts) == 0 {
		return ""
	}
	return ": " + strings.Join(parts, ", ")
}

func (l *layout) completeness() {
	if len(l.r.Completeness) == 0 {
		return
	}
	c := chart.Completeness{Title: "Completeness", Width: l.d.Width()}
	for _, f := range l.r.Completeness {
		row := chart.CompleteRow{Label: f.Record + ": " + f.Field, Share: math.NaN(), Text: "none to record"}
		if f.Suppressed {
			row.Text = tooFew
		}
		if f.Total > 0 {
			row.Share = float64(f.Recorded) / float64(f.Total)
			row.Text = wording.Count(f.Recorded) + " of " + wording.Count(f.Total)
		}
		c.Rows = append(c.Rows, row)
	}
	l.d.Space(1)
	l.d.Place(paper.Figure{ID: "completeness", Title: "How much of each field is recorded", Chart: c.Figure("One bar a field: records with the field filled, of all records.")}, false)
}
