package section

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// choicePage is whether the choice mattered: each finding with the checks it
// survived, and what came of switching after a shortfall.
func (m *maker) choicePage() document.Section {
	p := m.front.Choice
	s := document.Section{ID: "choice", Title: p.Title, Apart: true, Follow: !m.comparedSomething(), Compact: true, Single: true}
	s.Blocks = append(s.Blocks, m.page(p)...)
	if t, ok := m.readings(); ok {
		s.Blocks = append(s.Blocks, t)
	}
	if fig, ok := m.kept(); ok {
		s.Blocks = append(s.Blocks, fig)
	}
	return s
}

// readings sets the three ways of comparing side by side, one direction a row.
func (m *maker) readings() (document.Table, bool) {
	e := m.Results.SectionOf("comparison").ExhibitOf("comparison.readings")
	t := document.Table{ID: "readings", Title: e.Title, Columns: []document.Column{
		{Title: "Direction"}, {Title: "Patients with both", Number: true}, {Title: "Same mouth (" + m.interval() + ")", Number: true}, {Title: "Between patients, adjusted", Number: true}, {Title: "As they stand", Number: true}, {Title: "Verdict"},
	}, Below: document.Quiet(strings.Join(e.Notes, " "))}
	for _, g := range m.front.Dots.Groups {
		for _, r := range g.Rows {
			c, ok := m.comparison(r.By)
			if !ok {
				continue
			}
			between, asTheyStand := room.ReadingOf(c, results.BetweenPatients), room.ReadingOf(c, results.UnadjustedReading)
			// What is not comparable has a difference between patients all the same, which
			// is an association and no more: pale, without a verdict, and not on the
			// first pages.
			pale := c.Verdict == results.NotComparable
			if !r.Difference.OK() && !(pale && m.annexed() && between.Difference.OK()) {
				continue
			}
			// From the row to the formula and to the method with its source, where they
			// are printed.
			name, same := document.Cell{Text: r.Name, Strong: r.Clear, Quiet: pale}, document.Cell{Text: room.Points(c.Adjusted), Strong: r.Clear}
			if pale {
				same.Text = wording.Dash
			}
			verdict := document.Cell{Text: string(c.Verdict), Strong: r.Clear, Quiet: pale}
			if !pale { // why a direction is not comparable stands on page one
				verdict.Notes = room.Notes(c.Warnings)
			}
			if m.annexed() && m.defined(e.Definition) {
				name.To = "def-" + e.Definition
			}
			if _, ok := m.method(e.Method); ok && m.annexed() {
				same.To = "method-" + e.Method
			}
			t.Rows = append(t.Rows, document.Row{ID: readingID(r.By.Direction), Cells: []document.Cell{
				name,
				{Text: wording.Count(c.Both)},
				same,
				{Text: room.Points(between), Quiet: pale},
				{Text: room.Points(asTheyStand), Quiet: pale},
				verdict,
			}})
		}
	}
	if m.pages == Everything { // a click, where a page has room for what is drawn and no more
		t = (&annexer{m: m}).below(t, &e).(document.Table)
	}
	return room.WithoutEmpty(t)
}

// readingID is the row of the readings that a direction has.
func readingID(d casebook.Direction) string {
	return "reading-" + strings.ReplaceAll(d.String(), " ", "-")
}

func (m *maker) comparison(by results.By) (*results.Comparison, bool) {
	for i := range m.Results.Comparisons {
		if m.Results.Comparisons[i].By == by {
			return &m.Results.Comparisons[i], true
		}
	}
	return nil, false
}

// kept draws movements that fell short: from that course to the next, by what
// was done about the attachment.
func (m *maker) kept() (document.Figure, bool) {
	words := m.front.Kept
	c := chart.Slopes{Title: words.Title, From: "fell short", To: "next", Across: 3, Height: 19, Labels: 0.52}
	data := document.Table{Title: words.Title, Columns: []document.Column{
		{Title: "Attachment"}, {Title: "Cases", Number: true}, {Title: "Movements", Number: true}, {Title: "First %", Number: true}, {Title: "Next %", Number: true}, {Title: "Expected without effect %", Number: true},
	}}
	var desc []string
	var weights []int
	for _, a := range casebook.Axes() {
		for _, from := range casebook.Styles() {
			paths := m.pathsFrom(a, from)
			if len(paths) == 0 {
				continue
			}
			panel := chart.SlopePanel{Title: m.AxisName(a), Under: "had " + hadNames[from], Lo: 0, Hi: 1, Percent: true}
			data.Rows = append(data.Rows, document.Row{Group: document.Strong(panel.Title + ", " + panel.Under)})
			for _, p := range paths {
				l := slope(p)
				panel.Slopes = append(panel.Slopes, l)
				desc = append(desc, panel.Title+", "+panel.Under+", "+l.Title)
				data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
					{Text: nextName(p), Datum: l.ID}, {Text: wording.Count(p.Cases)}, {Text: wording.Count(p.Movements)}, {Text: wording.Whole(p.First.Value)}, {Text: wording.Whole(p.Next.Value)}, {Text: expectedText(p)},
				}})
			}
			c.Panels = append(c.Panels, panel)
			weights = append(weights, movementsOf(paths))
		}
	}
	all := len(c.Panels)
	c.Panels = heaviest(c.Panels, weights, mostKept)
	oneScale(c.Panels)
	if words.Title == "" || len(c.Panels) == 0 {
		return document.Figure{}, false
	}
	sub := words.Sub
	if all > len(c.Panels) {
		sub += fmt.Sprintf("; the %d largest of %d", len(c.Panels), all)
	}
	c.Across = min(3, len(c.Panels))
	c.Desc = strings.Join(desc, ". ") + "."
	return document.Figure{ID: "kept", Title: words.Title, Sub: document.Quiet(sub), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data, Below: document.Quiet(words.Below)}, true
}

// mostKept panels are drawn; the table behind the figure and the workbook have all.
const mostKept = 6

func movementsOf(paths []results.SwitchPath) (n int) {
	for _, p := range paths {
		n += p.Movements
	}
	return n
}

// heaviest keeps the n elements of most weight in their order.
func heaviest[T any](list []T, weights []int, n int) (out []T) {
	by := make([]int, len(list))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(a, b int) int { return weights[b] - weights[a] })
	for _, i := range slices.Sorted(slices.Values(by[:min(n, len(by))])) {
		out = append(out, list[i])
	}
	return out
}

var hadNames = map[casebook.Style]string{casebook.StyleNone: "none", casebook.SoftwareSuggested: "software's", casebook.ClinicianDesigned: "clinician's"}

// pathsFrom are the ways from one style along one axis that can be drawn,
// where at least one of them is a switch: keeping alone shows nothing.
func (m *maker) pathsFrom(a casebook.Axis, from casebook.Style) (out []results.SwitchPath) {
	switched := false
	for _, p := range m.Results.Questions.Switches.Paths {
		if p.Axis != a || p.From != from || p.Suppressed || !p.Change.Low.OK() {
			continue
		}
		switched = switched || p.To != p.From
		out = append(out, p)
	}
	if !switched {
		return nil
	}
	return out
}

// oneScale gives every panel the same scale, from 0 or the lowest value.
func oneScale(panels []chart.SlopePanel) {
	lo, hi := 0.0, 0.6
	for _, p := range panels {
		for _, l := range p.Slopes {
			for _, v := range []float64{l.From, l.To, l.Hi, l.Lo} {
				if !math.IsNaN(v) {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	for i := range panels {
		panels[i].Lo, panels[i].Hi = lo, hi
	}
}

func slope(p results.SwitchPath) chart.Slope {
	l := chart.Slope{
		ID: "path " + p.Axis.String() + " " + p.From.String() + " " + p.To.String(), From: room.Number(p.First.Value), To: room.Number(p.Next.Value),
		Before: wording.Whole(p.First.Value), Label: wording.Whole(p.Next.Value) + " " + shortNext(p), Strong: p.From != p.To,
		First: room.Markers[p.From], Mark: room.Markers[p.To], Lo: math.NaN(), Hi: math.NaN(),
	}
	if lo, hi, ok := expected(p); ok {
		l.Lo, l.Hi = lo, hi
	}
	l.Title = fmt.Sprintf("%s: from %s to %s %% of the plan, expected without effect %s; %s in %s", nextName(p), l.Before, wording.Whole(p.Next.Value), expectedText(p), wording.Of(p.Movements, "movement"), wording.Of(p.Cases, "case"))
	return l
}

// expected is the range of the next course without any effect: from method
// error alone to nothing of the first result being the tooth's own.
func expected(p results.SwitchPath) (lo, hi float64, ok bool) {
	e := p.Expected
	if !e.AtMost.OK() {
		return 0, 0, false
	}
	first := room.Number(p.First.Value)
	lo = first
	if e.Change.OK() {
		lo += room.Number(e.Change)
	}
	hi = first + room.Number(e.AtMost)
	return math.Min(lo, hi), math.Max(lo, hi), true
}

func expectedText(p results.SwitchPath) string {
	lo, hi, ok := expected(p)
	if !ok {
		return wording.Dash
	}
	return wording.Limits(results.Number(lo), results.Number(hi))
}

// shortNext is nextName in the few words a panel has room for.
func shortNext(p results.SwitchPath) string {
	if p.From == p.To {
		return "kept"
	}
	return "to " + hadNames[p.To]
}

// nextName says what the next course had.
func nextName(p results.SwitchPath) string {
	if p.From == p.To {
		return "kept"
	}
	return wording.Style(p.To)
}
