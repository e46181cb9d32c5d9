package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// CasePDF writes the sheets of cases for a study club, each on a page of its
// own (more only where a case has more movements than a page has lines).
func CasePDF(w io.Writer, s *results.CaseSheets, o Options) error {
	d, err := composeCases(s, o)
	if err != nil {
		return err
	}
	if err := d.Write(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}

func composeCases(s *results.CaseSheets, o Options) (*paper.Doc, error) {
	date, err := documentDate(s.Provenance.Date)
	if err != nil {
		return nil, err
	}
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	foot := "study-club sheet, pseudonyms only"
	if s.Provenance.Invented {
		foot = "invented data · " + foot
	}
	meta := paper.Meta{
		Title: "Cases for discussion", Subject: "Study-club sheets", Creator: s.Provenance.Tool + " " + s.Provenance.Version,
		Lang: "en-GB", Date: date, FootLeft: foot,
	}
	return paper.Compose(o.Paper, meta, func(d *paper.Doc) {
		for i := range s.Sheets {
			d.NewPage()
			c := caseLayout{layout{d: d, r: &results.Results{}, set: s.Provenance.Settings}, &s.Sheets[i], i}
			c.sheet(s.Cautions)
		}
	})
}

// caseLayout lays out one case.
type caseLayout struct {
	layout
	s *results.CaseSheet
	n int
}

func (c *caseLayout) sheet(cautions []string) {
	c.d.Title("Case " + c.s.ID)
	c.d.Subtitle(caseFacts(c.s))
	c.d.Space(0.5)
	c.d.Para(12, nil, c.counts()...)
	c.timeline()
	c.d.Set(paper.Dense, func() { c.discussion(cautions) })
	c.movements()
}

// counts sets the numbers of the case on one line.
func (c *caseLayout) counts() (runs []paper.Run) {
	for i, x := range []struct {
		n         int
		one, many string
	}{
		{c.s.Planned, "movement planned", "movements planned"},
		{c.s.Measured, "measured", "measured"},
		{c.s.Outside, "outside tolerance", "outside tolerance"},
		{c.s.Again, "planned again", "planned again"},
		{c.s.Changes, "style change", "style changes"},
		{c.s.Lost, "feature lost", "features lost"},
	} {
		words := x.many
		if x.n == 1 {
			words = x.one
		}
		if i > 0 {
			runs = append(runs, paper.T(" · "))
		}
		runs = append(runs, paper.B(wording.Count(x.n)), paper.M(" "+words))
	}
	return runs
}

func (c *caseLayout) discussion(cautions []string) {
	c.d.Heading("For discussion", 3*paper.Dense)
	var runs []paper.Run
	for i, q := range c.s.Questions {
		runs = append(runs, paper.B(fmt.Sprintf("%d\u00a0", i+1)), paper.T(wording.Sentence(q)+" "))
	}
	c.d.Para(12, nil, runs...)
	c.d.Space(0.25)
	text := ""
	for _, x := range cautions {
		text += " " + wording.Sentence(x)
	}
	c.d.Para(12, nil, paper.B("Cautions."), paper.M(text))
}

func caseFacts(s *results.CaseSheet) string {
	var parts []string
	add := func(ok bool, text string) {
		if ok {
			parts = append(parts, text)
		}
	}
	add(s.Practice != "", "practice "+s.Practice)
	add(s.Clinician != "", "clinician "+s.Clinician)
	add(s.AgeBand != casebook.NoAgeBand, "age "+s.AgeBand.String())
	add(s.Start != 0, "from "+s.Start.String())
	add(s.End != 0, "to "+s.End.String())
	add(s.Status != casebook.NoStatus, s.Status.String())
	add(s.Wear != casebook.NoWear, s.Wear.String()+" wear")
	if len(parts) == 0 {
		return "not in the case log"
	}
	return strings.Join(parts, ", ")
}

func (c *caseLayout) timeline() {
	t := chart.Timeline{Title: "Courses", Width: c.d.Width()}
	desc := ""
	for _, k := range c.s.Courses {
		b := chart.CourseBar{Label: courseName(k.Number), From: float64(k.From), Length: float64(k.Length), Measured: k.Measured, Note: courseNote(k)}
		t.Bars = append(t.Bars, b)
		desc += fmt.Sprintf("%s from month %d for %d months: %s. ", b.Label, k.From, k.Length, b.Note)
	}
	ids := c.notes(c.s.Warnings)
	c.d.Space(0.5)
	c.d.Place(paper.Figure{
		ID: fmt.Sprintf("timeline-%d", c.n), Title: "Courses; filled: outcomes were measured, dashed: length not known" + paper.Marks(ids),
		Chart: t.Figure(desc), Notes: ids,
	}, false)
}

func courseName(n int) string {
	if n <= 1 {
		return "Initial course"
	}
	return fmt.Sprintf("Refinement %d", n-1)
}

func courseNote(k results.SheetCourse) string {
	parts := []string{wording.Of(k.Teeth, "tooth")}
	if k.Planned > 0 || k.Used > 0 {
		used := wording.Dash
		if k.Used > 0 {
			used = wording.Count(k.Used)
		}
		parts = append(parts, fmt.Sprintf("aligners %s of %s used", used, wording.Count(k.Planned)))
	}
	return strings.Join(parts, ", ")
}

// movements draws the rows by course, over as many pages as they need; a
// further page says whose it is.
func (c *caseLayout) movements() {
	ms := c.s.Movements
	if len(ms) == 0 {
		c.d.Para(12, nil, paper.T("No movement of meaningful size is on record."))
		return
	}
	lo, hi := chart.CaseRange(c.groups(0, len(ms)))
	parts := make([]part, len(ms))
	for i := range ms {
		parts[i].h = chart.CaseRowHeight
		if i > 0 && ms[i].Course != ms[i-1].Course {
			parts[i].h += chart.CaseGroupHead
		}
	}
	title := fmt.Sprintf("Planned and achieved, among the practice's other cases; bold: outside tolerance (%g mm, %g°)", c.set.ToleranceMM, c.set.ToleranceDeg)
	figure := func(from, to int) paper.Figure {
		groups := c.groups(from, to)
		fig := chart.CaseRows{Title: title, Groups: groups, Width: c.d.Width(), Lo: lo, Hi: hi}
		return paper.Figure{ID: fmt.Sprintf("case-%d", c.n), Title: title, Chart: fig.Figure(caseDesc(groups)), Below: []paper.Run{
			paper.M(fmt.Sprintf("Bands: 10th-90th and 25th-75th percentile of like movements in other cases, line: median; none below %d cases. Circle: clinician-designed, square: software-suggested, cross: no feature.%s%s", c.set.MinIntervalCases, rareWords(ms[from:to]), smallWords(c.s.Small))),
		}}
	}
	c.d.Space(0.5)
	spread{
		l: &c.layout, parts: parts, frame: chart.CaseFrame + chart.CaseGroupHead + c.d.Frame(figure(0, len(ms))), make: figure,
		head: func() { c.d.Heading("Case "+c.s.ID+", continued", 0) },
	}.place()
}

// groups are the rows from..to-1 under their courses.
func (c *caseLayout) groups(from, to int) (out []chart.CaseGroup) {
	ms := c.s.Movements
	for i := from; i < to; i++ {
		if i == from || ms[i].Course != ms[i-1].Course {
			title := courseName(ms[i].Course)
			if i > 0 && ms[i].Course == ms[i-1].Course {
				title += ", continued"
			}
			out = append(out, chart.CaseGroup{Title: title})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, c.row(ms[i]))
	}
	return out
}

// rareWords explains what not every sheet shows.
func rareWords(ms []results.SheetMovement) string {
	s := ""
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.Style == casebook.NoStyle }) {
		s += " Diamond: style not recorded."
	}
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.AgainstTable }) {
		s += " Long face: against the table."
	}
	return s
}

func smallWords(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" Not shown: %s below the smallest meaningful amount.", wording.Of(n, "plan"))
}

// row is one movement as it was recorded, so with one decimal more than means
// have: planned less achieved is then what is printed as short.
func (c *caseLayout) row(m results.SheetMovement) chart.CaseRow {
	r := chart.CaseRow{
		Tooth: m.Tooth.In(c.set.Notation), Movement: wording.Capital(m.Direction.String()), Planned: wording.Fine(m.Planned, m.Unit),
		Achieved: wording.Fine(m.Achieved, m.Unit), Short: wording.Fine(m.Shortfall, m.Unit), Flags: strings.Join(caseFlags(m), ", "),
		Marker: markers[m.Style], Value: number(m.Expression), Bold: m.Outside,
		P10: nan, P25: nan, P50: nan, P75: nan, P90: nan,
	}
	if b := m.Band; b.Cases > 0 {
		r.P10, r.P25, r.P50, r.P75, r.P90 = number(b.P10), number(b.P25), number(b.P50), number(b.P75), number(b.P90)
	}
	return r
}

func caseFlags(m results.SheetMovement) []string {
	var out []string
	if m.Again {
		out = append(out, "again")
	}
	if m.StyleBefore != casebook.NoStyle {
		out = append(out, "new style")
	}
	if m.Lost {
		out = append(out, "lost")
	}
	if m.AgainstTable {
		out = append(out, "long face")
	}
	return out
}

func caseDesc(groups []chart.CaseGroup) string {
	s := ""
	for _, g := range groups {
		for _, r := range g.Rows {
			s += fmt.Sprintf("%s, tooth %s, %s: planned %s, achieved %s, short %s. ", g.Title, r.Tooth, r.Movement, r.Planned, r.Achieved, r.Short)
		}
	}
	return s
}
