package section

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// caseRows is the list of movements over the bands of like ones in other cases.
type caseRows struct {
	c      *caseMaker
	rows   []int // places in the list of movements
	lo, hi float64
	foot   string
}

func (r caseRows) chart(w float64) chart.CaseRows {
	return chart.CaseRows{Title: "Movements", Groups: r.c.groups(r.rows), Width: w, Lo: r.lo, Hi: r.hi, Foot: r.foot}
}

func (r caseRows) Draw(w float64) *chart.Figure {
	return r.chart(w).Figure("A row a movement; the numbers stand in the row.")
}

// fewestRows of a case are worth the place; a page with less room is pressed first.
const fewestRows = 4

// Fit keeps the movements furthest from their plan, in the order of the list.
func (r caseRows) Fit(height float64) document.Drawing {
	n := len(r.rows)
	fits := func(n int) bool { return r.furthest(n).chart(0).Height() <= height }
	if n > fewestRows && !fits(n) { // what is left out costs a line of its own, so the first is looked at apart
		n -= 1 + sort.Search(n-1-fewestRows, func(more int) bool { return fits(n - 1 - more) })
	}
	return r.furthest(n)
}

// Least is what a page must have room for.
func (r caseRows) Least() document.Drawing { return r.furthest(min(fewestRows, len(r.rows))) }

func (r caseRows) furthest(n int) caseRows {
	if n == len(r.rows) {
		return r
	}
	by := slices.Clone(r.rows)
	slices.SortStableFunc(by, func(a, b int) int { return cmpFloat(r.c.away(b), r.c.away(a)) })
	out := r
	out.rows = slices.Sorted(slices.Values(by[:n]))
	out.foot = fmt.Sprintf("Shown are the %d furthest from their plan; the file of numbers has the other %d.", n, len(by)-n)
	return out
}

// away is how far a movement ended from its plan, in tolerances; one without an
// outcome comes last.
func (c *caseMaker) away(i int) float64 {
	m := c.s.Movements[i]
	if !m.Shortfall.OK() {
		return -1
	}
	return math.Abs(float64(m.Shortfall)) / c.set.Tolerance(m.Unit)
}

// rows are the movements of the case among the practice's other cases.
func (c *caseMaker) rows() (document.Figure, bool) {
	ms := c.s.Movements
	if len(ms) == 0 {
		return document.Figure{}, false
	}
	r := caseRows{c: c}
	for i := range ms {
		r.rows = append(r.rows, i)
	}
	r.lo, r.hi = chart.CaseRange(c.groups(r.rows))
	data := document.Table{Title: "Movements", Columns: []document.Column{{Title: "Tooth"}, {Title: "Movement"}, {Title: "Planned", Number: true}, {Title: "Achieved", Number: true}, {Title: "Short", Number: true}, {Title: "Remarks"}}}
	for _, g := range c.groups(r.rows) {
		data.Rows = append(data.Rows, document.Row{Group: document.Strong(g.Title)})
		for _, x := range g.Rows {
			data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{room.Words(x.Tooth), room.Words(x.Movement), room.Words(x.Planned), room.Words(x.Achieved), {Text: x.Short, Strong: x.Bold}, room.Words(x.Flags)}})
		}
	}
	below := fmt.Sprintf("Bands: the middle 80 and 50 %% of like movements in other cases, line: median; none below %d cases. Circle: clinician-designed, square: software-suggested, cross: none.%s", c.set.MinIntervalCases, rareWords(ms))
	if c.s.Small > 0 {
		below += fmt.Sprintf(" Not shown: %s below the smallest meaningful amount.", wording.Of(c.s.Small, "plan"))
	}
	return document.Figure{
		ID: c.id("movements"), Title: "Case " + c.s.ID + ": its movements among the practice's other cases", Sub: document.Quiet("bold: outside tolerance"), Desc: "A row a movement.",
		Drawings: []document.Drawing{r}, Data: &data, Below: document.Quiet(below),
	}, true
}

// rareWords explains what not every sheet shows.
func rareWords(ms []results.SheetMovement) string {
	s := ""
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.Style == casebook.NoStyle }) {
		s += " Diamond: style not recorded."
	}
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return !m.Achieved.OK() }) {
		s += " Blank: no outcome."
	}
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.AgainstTable }) {
		s += " Long edge: not square to the movement."
	}
	return s
}

// groups are rows of the list under their courses.
func (c *caseMaker) groups(rows []int) (out []chart.CaseGroup) {
	ms := c.s.Movements
	for k, i := range rows {
		if k == 0 || ms[i].Course != ms[rows[k-1]].Course {
			out = append(out, chart.CaseGroup{Title: courseName(ms[i].Course)})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, c.row(ms[i]))
	}
	return out
}

// movementName is the direction of a movement, or its axis where the sheet gave its size
// alone.
func movementName(m *results.SheetMovement) string {
	if m.SizeOnly {
		return m.Axis.String()
	}
	return m.Direction.String()
}

// row is one movement as it was recorded, so with one decimal more than means
// have: planned less achieved is then what is printed as short.
func (c *caseMaker) row(m results.SheetMovement) chart.CaseRow {
	nan := math.NaN()
	r := chart.CaseRow{
		Tooth: m.Tooth.In(c.set.Notation), Movement: wording.Capital(movementName(&m)), Planned: wording.Fine(m.Planned, m.Unit),
		Achieved: wording.Fine(m.Achieved, m.Unit), Short: wording.Fine(m.Shortfall, m.Unit), Flags: strings.Join(caseFlags(m), ", "),
		Marker: room.Markers[m.Style], Value: room.Number(m.Expression), Bold: m.Outside,
		P10: nan, P25: nan, P50: nan, P75: nan, P90: nan,
	}
	if !m.Achieved.OK() {
		r.Achieved, r.Short = "", "" // a column of dashes says no more
	}
	if b := m.Band; b.Cases > 0 {
		r.P10, r.P25, r.P50, r.P75, r.P90 = room.Number(b.P10), room.Number(b.P25), room.Number(b.P50), room.Number(b.P75), room.Number(b.P90)
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
		out = append(out, "long edge")
	}
	return out
}
