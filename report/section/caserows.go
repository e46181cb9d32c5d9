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
)

// caseRows is the list of movements over the bands of like ones in other cases.
type caseRows struct {
	c        *caseMaker
	from, to int
	lo, hi   float64
}

func (r caseRows) Draw(w float64) *chart.Figure {
	return chart.CaseRows{Title: "Movements", Groups: r.c.groups(r.from, r.to), Width: w, Lo: r.lo, Hi: r.hi}.Figure("A row a movement; the numbers stand in the row.")
}

func (r caseRows) Parts() int { return r.to - r.from }

func (r caseRows) Part(from, to int) document.Drawing {
	return caseRows{r.c, r.from + from, r.from + to, r.lo, r.hi}
}

// rows are the movements of the case among the practice's other cases.
func (c *caseMaker) rows() (document.Figure, bool) {
	ms := c.s.Movements
	if len(ms) == 0 {
		return document.Figure{}, false
	}
	r := caseRows{c: c, to: len(ms)}
	r.lo, r.hi = chart.CaseRange(c.groups(0, len(ms)))
	data := document.Table{Title: "Movements", Columns: []document.Column{{Title: "Tooth"}, {Title: "Movement"}, {Title: "Planned", Number: true}, {Title: "Achieved", Number: true}, {Title: "Short", Number: true}, {Title: "Remarks"}}}
	for _, g := range c.groups(0, len(ms)) {
		data.Rows = append(data.Rows, document.Row{Group: document.Strong(g.Title)})
		for _, x := range g.Rows {
			data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{words(x.Tooth), words(x.Movement), words(x.Planned), words(x.Achieved), {Text: x.Short, Strong: x.Bold}, words(x.Flags)}})
		}
	}
	below := fmt.Sprintf("Bands: 10th-90th and 25th-75th percentile of like movements in other cases, line: median; none below %d cases. Circle: clinician-designed, square: software-suggested, cross: no attachment.%s", c.set.MinIntervalCases, rareWords(ms))
	if c.s.Small > 0 {
		below += fmt.Sprintf(" Not shown: %s below the smallest meaningful amount.", wording.Of(c.s.Small, "plan"))
	}
	return document.Figure{
		ID: c.id("movements"), Title: "Case " + c.s.ID + ": every movement among the practice's other cases", Sub: document.Quiet("bold: outside tolerance"), Desc: "A row a movement.",
		Drawings: []document.Drawing{r}, Data: &data, Below: document.Quiet(below),
	}, true
}

// rareWords explains what not every sheet shows.
func rareWords(ms []results.SheetMovement) string {
	s := ""
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.Style == casebook.NoStyle }) {
		s += " Diamond: style not recorded."
	}
	if slices.ContainsFunc(ms, func(m results.SheetMovement) bool { return m.AgainstTable }) {
		s += " Long edge: against the table."
	}
	return s
}

// groups are the rows from..to-1 under their courses.
func (c *caseMaker) groups(from, to int) (out []chart.CaseGroup) {
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

// row is one movement as it was recorded, so with one decimal more than means
// have: planned less achieved is then what is printed as short.
func (c *caseMaker) row(m results.SheetMovement) chart.CaseRow {
	nan := math.NaN()
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
		out = append(out, "long edge")
	}
	return out
}
