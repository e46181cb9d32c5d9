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

// Cases makes the sheets of cases for a study club, each beginning a page.
func Cases(s *results.CaseSheets) (*document.Document, error) {
	date, err := Date(s.Provenance.Date)
	if err != nil {
		return nil, err
	}
	foot, subject := "study-club sheet, pseudonyms only", "Study-club sheets"
	if !s.Provenance.Settings.Shared {
		foot, subject = "for use inside the practice, not to be passed on", "Sheets for use inside the practice"
	}
	if s.Provenance.Invented {
		foot = "invented data · " + foot
	}
	d := &document.Document{
		Title: "Cases for discussion", Subject: subject, Creator: s.Provenance.Tool + " " + s.Provenance.Version, Lang: "en-GB", Date: date, Foot: foot,
	}
	for i := range s.Sheets {
		c := caseMaker{s: &s.Sheets[i], set: s.Provenance.Settings, n: i}
		d.Sections = append(d.Sections, c.sheet(s.Cautions))
	}
	return d, d.Check()
}

// caseMaker makes the sheet of one case.
type caseMaker struct {
	s   *results.CaseSheet
	set results.Settings
	n   int
}

func (c *caseMaker) id(what string) string { return fmt.Sprintf("case-%d-%s", c.n+1, what) }

func (c *caseMaker) sheet(cautions []string) document.Section {
	s := document.Section{ID: c.id("sheet"), Title: "Case " + c.s.ID, Over: []string{c.facts()}, Apart: true, Compact: true, Single: true}
	s.Blocks = append(s.Blocks, document.Para{Text: c.counts()})
	if len(c.s.Courses) > 0 {
		s.Blocks = append(s.Blocks, c.timeline())
	}
	if fig, ok := c.slopes(); ok {
		s.Blocks = append(s.Blocks, fig)
	}
	s.Blocks = append(s.Blocks, c.discussion(cautions)...)
	if fig, ok := c.rows(); ok {
		s.Blocks = append(s.Blocks, fig)
	} else {
		s.Blocks = append(s.Blocks, document.Para{Text: document.Words("No movement of meaningful size is on record.")})
	}
	return s
}

func (c *caseMaker) facts() string {
	var parts []string
	add := func(ok bool, text string) {
		if ok {
			parts = append(parts, text)
		}
	}
	s := c.s
	add(s.Practice != "", "practice "+s.Practice)
	add(s.Clinician != "", "clinician "+s.Clinician)
	add(s.AgeBand != casebook.NoAgeBand, "age "+s.AgeBand.String())
	add(s.Start != 0, "from "+s.Start.String())
	add(s.End != 0, "to "+s.End.String())
	add(s.Status != casebook.NoStatus, s.Status.String())
	add(s.Wear != casebook.NoWear, s.Wear.String()+" wear")
	if len(parts) == 0 {
		return "Not in the case log"
	}
	return wording.Capital(strings.Join(parts, ", "))
}

// counts sets the numbers of the case on one line. Where refinements were counted and
// their courses are not on record, nothing is known of what was planned again or changed.
func (c *caseMaker) counts() (t document.Text) {
	type count struct {
		n         int
		one, many string
	}
	counts := []count{
		{c.s.Planned, "movement", "movements"},
		{c.s.Measured, "measured", "measured"},
		{c.s.Outside, "outside tolerance", "outside tolerance"},
		{c.s.Again, "planned again", "planned again"},
		{c.s.Changes, "style change", "style changes"},
	}
	if c.s.Unrecorded() > 0 {
		counts = append(slices.Delete(counts, 3, 5), count{*c.s.Stated, "refinement stated", "refinements stated"})
	}
	if c.s.Lost != nil {
		counts = append(counts, count{*c.s.Lost, "attachment lost", "attachments lost"})
	}
	for i, x := range counts {
		words := x.many
		if x.n == 1 {
			words = x.one
		}
		if i > 0 {
			t = document.Join(t, document.Words(" · "))
		}
		t = document.Join(t, document.Strong(wording.Count(x.n)), document.Quiet(" "+words))
	}
	if c.s.Unrecorded() > 0 {
		t = document.Join(t, document.Quiet(", their movements not on record"))
	}
	return t
}

// discussion lists questions, with a mark that cannot be read as a number.
func (c *caseMaker) discussion(cautions []string) []document.Block {
	in := document.Section{ID: c.id("discussion"), Title: "For discussion"}
	for _, q := range c.s.Questions {
		in.Blocks = append(in.Blocks, document.Para{Role: document.Item, Mark: "•", Text: document.Words(wording.Sentence(q))})
	}
	var parts []string
	for _, x := range cautions {
		parts = append(parts, wording.Sentence(x))
	}
	in.Blocks = append(in.Blocks, document.Para{Role: document.Caution, Text: document.Join(document.Strong("Cautions. "), document.Quiet(strings.Join(parts, " ")))})
	return []document.Block{in}
}

type timeDrawing struct{ chart.Timeline }

func (d timeDrawing) Tight(level int) chart.Drawing {
	d.Close = level > 1
	return d
}

func (d timeDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure("The courses of the case by month.")
}

func courseName(n int) string {
	if n <= 1 {
		return "First set"
	}
	return fmt.Sprintf("Refinement %d", n-1)
}

func (c *caseMaker) timeline() document.Figure {
	d := timeDrawing{chart.Timeline{Title: "Courses"}}
	data := document.Table{Title: "Courses", Columns: []document.Column{{Title: "Course"}, {Title: "From month", Number: true}, {Title: "Months", Number: true}, {Title: "Teeth and aligners"}}}
	add := func(name, note string, k results.SheetCourse) {
		d.Bars = append(d.Bars, chart.CourseBar{Label: name, From: float64(k.From), Length: float64(k.Length), Measured: k.Measured, Note: note})
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{room.Words(name), room.Words(wording.Count(k.From)), room.Words(room.Some(k.Length)), room.Words(note)}})
	}
	unknown := slices.ContainsFunc(c.s.Courses, func(k results.SheetCourse) bool { return k.Length == 0 })
	if whole := c.s.Months; whole > 0 && (unknown || c.s.Unrecorded() > 0) { // the courses alone do not show it
		add("Whole treatment", c.wholeNote(), results.SheetCourse{Length: whole})
	}
	for _, k := range c.s.Courses {
		add(courseName(k.Number), courseNote(k), k)
	}
	return document.Figure{ID: c.id("courses"), Title: "Courses", Sub: document.Text{{Text: "filled: outcomes were measured; dashed: length not known", Quiet: true, Notes: room.Notes(c.s.Warnings)}}, Desc: "One bar a course.", Drawings: []document.Drawing{d}, Data: &data}
}

// wholeNote says how long the case took and what is known of its refinements.
func (c *caseMaker) wholeNote() string {
	note := wording.Of(c.s.Months, "month")
	if c.s.Unrecorded() > 0 {
		note += ", " + wording.Of(*c.s.Stated, "refinement") + " stated"
	}
	return note
}

func courseNote(k results.SheetCourse) string {
	parts := []string{wording.Of(k.Teeth, "tooth")}
	switch {
	case k.Planned > 0 && k.Used > 0:
		parts = append(parts, wording.Count(k.Used)+" of "+wording.Of(k.Planned, "aligner")+" used")
	case k.Planned > 0:
		parts = append(parts, wording.Of(k.Planned, "aligner")+", use not recorded")
	case k.Used > 0:
		parts = append(parts, wording.Of(k.Used, "aligner")+" used")
	}
	return strings.Join(parts, ", ")
}

// slopes draws every measured movement from planned to achieved, a panel a
// course and unit; those outside tolerance are named.
func (c *caseMaker) slopes() (document.Figure, bool) {
	d := chart.Slopes{Title: "From planned to achieved", From: "planned", To: "achieved", Across: 3, Height: 27, Labels: 0.5}
	last := 0
	for _, m := range c.s.Movements {
		last = max(last, m.Course)
	}
	for course := 1; course <= min(last, mostPanels); course++ {
		for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
			if p, ok := c.panel(course, u); ok {
				d.Panels = append(d.Panels, p)
			}
		}
	}
	if len(d.Panels) == 0 {
		return document.Figure{}, false
	}
	if d.Across = min(3, max(2, len(d.Panels))); len(d.Panels) > 3 {
		d.Across, d.Labels = 4, 0.42
		for k, p := range d.Panels {
			d.Panels[k].Under = strings.ReplaceAll(p.Under, "degrees", "°")
			for i, l := range p.Slopes { // the rows below say which movement of the tooth
				if tooth, _, ok := strings.Cut(l.Label, " "); ok {
					p.Slopes[i].Label = tooth + " " + l.Label[strings.LastIndex(l.Label, " ")+1:]
				}
			}
		}
	}
	d.Desc = "A line for every measured movement, from the planned to the achieved amount; the numbers are in the rows below."
	return document.Figure{ID: c.id("slopes"), Title: "From planned to achieved, by course", Sub: document.Quiet(fmt.Sprintf("dark: outside tolerance (%g mm, %g°); with tooth and numbers: those furthest off", c.set.ToleranceMM, c.set.ToleranceDeg)), Desc: d.Desc, Drawings: []document.Drawing{d}}, true
}

// mostPanels courses have panels of their own; the last one takes what comes later.
const mostPanels = 4

// mostNamed is how many lines of a panel are named: more would stand away from their ends.
const mostNamed = 3

func (c *caseMaker) panel(course int, u casebook.Unit) (chart.SlopePanel, bool) {
	p := chart.SlopePanel{Title: courseName(course), Under: wording.Unit(u)}
	var ms []results.SheetMovement
	for _, m := range c.s.Movements {
		if course == mostPanels && m.Course > course {
			p.Title = courseName(course) + " on"
		}
		if (m.Course == course || course == mostPanels && m.Course > course) && m.Unit == u && m.Achieved.OK() {
			ms = append(ms, m)
		}
	}
	slices.SortStableFunc(ms, func(a, b results.SheetMovement) int {
		return cmpFloat(math.Abs(float64(b.Shortfall)), math.Abs(float64(a.Shortfall)))
	})
	for i, m := range ms {
		l := chart.Slope{
			ID: fmt.Sprintf("movement %d %s %s", course, m.Tooth, m.Axis), From: room.Number(m.Planned), To: room.Number(m.Achieved), Strong: m.Outside,
		}
		l.Title = fmt.Sprintf("tooth %s, %s: planned %s, achieved %s", m.Tooth.In(c.set.Notation), movementName(&m), wording.Fine(m.Planned, u), wording.Fine(m.Achieved, u))
		if i == 0 || m.Outside && i < mostNamed {
			number := func(v results.Number) string {
				return strings.TrimRight(strings.TrimSuffix(wording.Fine(v, u), wording.UnitText(u)), "\u00a0")
			}
			l.Before = number(m.Planned)
			l.Label = m.Tooth.In(c.set.Notation) + " " + strings.TrimPrefix(movementName(&m), "rotation ") + " " + number(m.Achieved)
		}
		p.Lo, p.Hi = math.Min(p.Lo, math.Min(l.From, l.To)), math.Max(p.Hi, math.Max(l.From, l.To))
		p.Slopes = append(p.Slopes, l)
	}
	return p, len(p.Slopes) > 0
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
