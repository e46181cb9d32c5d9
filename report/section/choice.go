package section

import (
	"fmt"
	"math"
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
		{Title: "Direction"}, {Title: "Patients with both", Number: true}, {Title: "Same patients (" + m.interval() + ")", Number: true}, {Title: "Between patients, adjusted", Number: true}, {Title: "As they stand", Number: true}, {Title: "Verdict"},
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
			if _, ok := m.term(e.Definition); ok && m.annexed() {
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
		t.Below = nil // which has the notes of the table too
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

// kept draws movements that fell short: from that course to the next, where switching
// the style is compared with keeping it.
func (m *maker) kept() (document.Figure, bool) {
	words := m.front.Kept
	c := chart.Switches{Title: words.Title, Interval: m.interval()}
	data := document.Table{Title: words.Title, Columns: []document.Column{
		{Title: "Attachment"}, {Title: "Cases", Number: true}, {Title: "Movements", Number: true}, {Title: "First %", Number: true}, {Title: "Next %", Number: true}, {Title: "Expected without effect %", Number: true}, {Title: "Against kept, points (" + m.interval() + ")", Number: true},
	}}
	var desc []string
	add := func(p *results.SwitchPath, against *results.GroupComparison) {
		g := &c.Groups[len(c.Groups)-1]
		r := switchRow(p, against)
		g.Rows = append(g.Rows, r)
		desc = append(desc, g.Title+", "+g.Under+", "+r.Title)
		cells := []document.Cell{
			{Text: r.Name, Datum: r.ID}, {Text: r.Cases}, {Text: wording.Count(p.Movements)}, {Text: r.FromText}, {Text: r.ToText}, {Text: expectedText(p)}, {},
		}
		if against != nil {
			cells[6] = document.Cell{Text: room.Points(against.Adjusted), Strong: r.Strong}
		}
		data.Rows = append(data.Rows, document.Row{Cells: cells})
	}
	last := results.FrontSwitch{}
	for _, d := range words.Drawn {
		kept, switched, against := m.path(d.Axis, d.From, d.From), m.path(d.Axis, d.From, d.To), m.switched(d)
		if kept == nil || switched == nil || against == nil {
			continue
		}
		if last.Axis != d.Axis || last.From != d.From {
			g := chart.SwitchGroup{Title: m.AxisName(d.Axis), Under: "had " + wording.Style(d.From)}
			c.Groups = append(c.Groups, g)
			data.Rows = append(data.Rows, document.Row{Group: document.Strong(g.Title + ", " + g.Under)})
			add(kept, nil)
		}
		add(switched, against)
		last = d
	}
	if len(c.Groups) == 0 {
		return document.Figure{}, false
	}
	c.Desc = strings.Join(desc, ". ") + "."
	return document.Figure{ID: "kept", Title: words.Title, Sub: document.Quiet(words.Sub), To: m.first(room.Anchor("switches.contrasts")), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data, Below: document.Quiet(words.Below)}, true
}

// path is one way along an axis, where it may be shown.
func (m *maker) path(a casebook.Axis, from, to casebook.Style) *results.SwitchPath {
	for i := range m.Results.Questions.Switches.Paths {
		if p := &m.Results.Questions.Switches.Paths[i]; p.Axis == a && p.From == from && p.To == to && !p.Suppressed {
			return p
		}
	}
	return nil
}

// switched is the comparison that is drawn.
func (m *maker) switched(d results.FrontSwitch) *results.GroupComparison {
	for i := range m.Results.Questions.Switches.Contrasts {
		if c := &m.Results.Questions.Switches.Contrasts[i]; c.By.Axis == d.Axis && c.From == d.From && c.To == d.To && !c.Suppressed {
			return c
		}
	}
	return nil
}

func switchRow(p *results.SwitchPath, against *results.GroupComparison) chart.SwitchRow {
	r := chart.SwitchRow{
		ID: room.PathKey(p), Name: nextName(p), Cases: wording.Count(p.Cases),
		From: room.Number(p.First.Value), To: room.Number(p.Next.Value), FromText: wording.Whole(p.First.Value), ToText: wording.Whole(p.Next.Value),
		Mark: room.Markers[p.To], Kept: against == nil, Lo: math.NaN(), Hi: math.NaN(),
	}
	if lo, hi, ok := expected(p); ok {
		r.Lo, r.Hi = lo, hi
	}
	r.Title = fmt.Sprintf("%s: from %s to %s %% of the plan, expected without effect %s; %s in %s", r.Name, r.FromText, r.ToText, expectedText(p), wording.Of(p.Movements, "movement"), wording.Of(p.Cases, "case"))
	if against != nil {
		r.Difference, r.Limits = wording.Points(against.Adjusted.Difference), wording.PointLimits(against.Adjusted.Low, against.Adjusted.High)
		r.Strong = against.Verdict.Clear()
		r.Title += fmt.Sprintf("; against kept %s points (%s)", r.Difference, r.Limits)
	}
	return r
}

// expected is the range of the next course without any effect: from method
// error alone to nothing of the first result being the tooth's own.
func expected(p *results.SwitchPath) (lo, hi float64, ok bool) {
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

func expectedText(p *results.SwitchPath) string {
	lo, hi, ok := expected(p)
	if !ok {
		return wording.Dash
	}
	return wording.Limits(results.Number(lo), results.Number(hi))
}

// nextName says what the next course had.
func nextName(p *results.SwitchPath) string {
	if p.From == p.To {
		return "kept"
	}
	return "to " + wording.Style(p.To)
}
