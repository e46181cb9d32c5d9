package report

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// TestThreeStepsOnPaper: from a direction drawn on page one to its row, from the row
// to the formula and to the method, and there to the source.
func TestThreeStepsOnPaper(t *testing.T) {
	d := laid(t, compared(t), Options{Pages: section.Full})
	from := func(page int, y0, y1 float64) (to []string) {
		for _, w := range d.Ways() {
			if middle := w.Box.Y + w.Box.H/2; w.Page == page && y0 <= middle && middle < y1 {
				to = append(to, w.To)
			}
		}
		return to
	}
	walked := 0
	for _, to := range from(1, 0, paper.A4.H) {
		if !strings.HasPrefix(to, "reading-") {
			continue
		}
		page, y, ok := d.Landed(to)
		require.True(t, ok, to)
		next := from(page, y, y+paper.Baseline)
		require.Len(t, next, 2, "%s leads to its formula and its method", to)
		for _, id := range next {
			page, y, ok := d.Landed(id)
			require.True(t, ok, id)
			said := ""
			for _, b := range d.Boxes() {
				if b.Page == page && y <= b.Box.Y+b.Box.H/2 && b.Box.Y < y+6*paper.Baseline {
					said += b.Text + " "
				}
			}
			assert.Regexp(t, cited, said, "%s names its source", id)
		}
		walked++
	}
	assert.Greater(t, walked, 3)
}

// cited is a year, or a source that says that it is ours.
var cited = regexp.MustCompile(`(19|20)\d\d|convention of this audit|common practice`)

// TestEveryNumberOfPageOneHasAWay: from every number printed there to the row or the
// figure that has it, and from that, in two more steps, to a formula and a method that
// name their sources.
func TestEveryNumberOfPageOneHasAWay(t *testing.T) {
	for _, p := range []struct {
		name    string
		results func(*testing.T) *results.Results
		least   int
	}{
		{"compared", compared, 60},
		{"small, one clinician, shared", invented{cases: 15, seed: 10, spoil: oneOperator, set: func(s *results.Settings) { s.Shared = true }}.results, 12},
	} {
		t.Run(p.name, func(t *testing.T) {
			r := p.results(t)
			d, err := section.Document(r, section.Full)
			require.NoError(t, err)
			pages := laid(t, r, Options{Pages: section.Full})
			w, counted := trails(d), 0
			for _, b := range pages.Boxes() {
				text := figureLabel.ReplaceAllString(strings.ReplaceAll(b.Text, "\u00a0", " "), "")
				if b.Page > 1 || !strings.ContainsAny(text, "0123456789") || noNumber.MatchString(text) || ofGroup(r, text) {
					continue
				}
				to := over(pages, b)
				if to == "" && !before(pages, b) {
					t.Errorf("%q leads nowhere", b.Text)
					continue
				}
				if counted++; to != "" {
					assert.True(t, w.arrives(to, 2), "%q leads to %s and to no source", b.Text, to)
				}
			}
			assert.Greater(t, counted, p.least)
		})
	}
}

// noNumber are texts with digits that are no findings: teeth in their notation, the scale
// of a figure and its legend, the heads of its columns, the foot, what is to decide.
var noNumber = regexp.MustCompile(`^[1-4][1-8]$|^(0|25|50|75|100 % of the plan)$|^(under 35 %|35 to 49|50 to 64|65 and over)$|^its CI reaches \d+ %$|^under \d+ cases$|95 % CI\)?$|^100$|^[−+](25|50|100)( points)?$|· practice [A-Z]+$|^page 1|\?$`)

// figureLabel numbers a figure, and says nothing of its own.
var figureLabel = regexp.MustCompile(`^Figure \d+ · `)

// ofGroup is true of the head of a group of directions, which counts rows of the figure.
func ofGroup(r *results.Results, text string) bool {
	return slices.ContainsFunc(r.Front.Dots.Groups, func(g results.FrontGroup) bool {
		return strings.Contains(strings.ReplaceAll(g.Title, "\u00a0", " "), text)
	})
}

// over is where the area over a text leads.
func over(d *paper.Doc, b paper.Placed) string {
	x, y := b.Box.X+b.Box.W/2, b.Box.Y+b.Box.H/2
	for _, w := range d.Ways() {
		if w.Page == b.Page && w.Box.X <= x && x <= w.Box.X+w.Box.W && w.Box.Y <= y && y <= w.Box.Y+w.Box.H {
			return w.To
		}
	}
	return ""
}

// before is true of a text of a paragraph, or of the headline above one, whose end is a
// way: no white space to speak of stands between.
func before(d *paper.Doc, b paper.Placed) bool {
	y := b.Box.Y
	for _, x := range d.Boxes() {
		switch {
		case x.Page != b.Page || x.Box.Y < y:
		case x.Box.Y > y+2.5*paper.Baseline:
			return false
		case strings.Contains(x.Text, ",\u00a0page\u00a0") && over(d, x) != "":
			return true
		default:
			y = x.Box.Y
		}
	}
	return false
}

// trail is where what stands at an id leads on; sources are what the definitions and
// methods at an id name.
type trail struct {
	on      map[string][]string
	sources map[string]string
}

func trails(d *document.Document) trail {
	w := trail{on: map[string][]string{}, sources: map[string]string{}}
	var in []document.Section // that hold the block at hand
	d.Walk(func(b document.Block, level int) {
		in = in[:min(len(in), level-1)]
		var to []string
		switch b := b.(type) {
		case document.Section:
			in = append(in, b)
			return
		case document.Para:
			to = ways(b.Text)
		case document.Figure:
			to = append(ways(b.Below), b.To)
			w.on[b.ID] = to
		case document.Table:
			to = ways(b.Below)
			w.on[b.ID] = to
			for _, r := range b.Rows {
				w.on[r.ID] = slices.Clone(to)
				for _, c := range r.Cells {
					w.on[r.ID] = append(w.on[r.ID], c.To)
					w.on[b.ID] = append(w.on[b.ID], c.To)
				}
				if strings.HasPrefix(r.ID, "def-") || strings.HasPrefix(r.ID, "method-") {
					w.sources[r.ID] = r.Cells[2].Text
				}
			}
		}
		for _, s := range in {
			w.on[s.ID] = append(w.on[s.ID], to...)
		}
	})
	return w
}

func ways(t document.Text) (to []string) {
	for _, s := range t {
		to = append(to, s.To)
	}
	return to
}

// arrives is true where at most so many steps lead to a definition or a method, and what
// these steps lead to names its source.
func (w trail) arrives(id string, steps int) bool {
	arrived := false
	for at := []string{id}; steps > 0; steps-- {
		var next []string
		for _, id := range at {
			next = append(next, w.on[id]...)
		}
		for _, id := range next {
			source, ok := w.sources[id]
			if ok && !cited.MatchString(source) {
				return false
			}
			arrived = arrived || ok
		}
		at = next
	}
	return arrived
}
