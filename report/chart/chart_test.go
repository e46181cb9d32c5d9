package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden SVG files")

var nan = math.NaN()

// figures are small, hand-made inputs: one golden SVG each.
func figures() map[string]*Figure {
	out := map[string]*Figure{
		"bars": Bars{Title: "b", Desc: "bars", XLabel: "refinements", Panels: []BarPanel{
			{Title: "All", Note: "10 cases", Marker: Diamond, Bars: []Bar{{Label: "0", Count: 4, Share: 0.4}, {Label: "1", Count: 6, Share: 0.6}}},
			{Title: "Some", Note: "one too few to show", Bars: []Bar{{Label: "0", Hidden: true}, {Label: "1", Count: 6, Share: 0.6}}},
		}}.Draw(174),
		"completeness": Completeness{Title: "c", Width: 174, Rows: []CompleteRow{{"case: wear", 0.5, "5 of 10"}, {"case: age", nan, "none"}, {"course: a", 1, "3 of 3"}}}.Figure("bars"),
		"signs":        Signs(174),
		"planned": PlanPanels{Title: "p", Width: 174, Panels: []PlanPanel{
			{Title: "Vertical", Unit: "mm", Tolerance: 0.5, Series: []PlanSeries{
				{Name: "no feature", Marker: Cross, Points: []PlanPoint{{Planned: 0.5, Achieved: 0.3, Low: 0.1, High: 0.4}}},
				{Name: "clinician-designed", Marker: FilledCircle, Points: []PlanPoint{{Planned: 0.5, Achieved: 0.4, Low: 0.2, High: 0.5}, {Planned: 1.6, Achieved: 0.7, Low: nan, High: nan}}},
			}},
			{Title: "Rotation", Unit: "degrees", Tolerance: 2, Series: []PlanSeries{{Name: "software-suggested", Marker: OpenSquare, Points: []PlanPoint{{Planned: 18, Achieved: 8, Low: -1, High: 11}}}}},
		}}.Figure("planned"),
		"runchart": RunChart{
			Title: "r", YLabel: "%", Width: 174, Share: true, Centre: 0.6, Target: 0.5, Label: percentLabel, Marks: []RunMark{{1, "a change"}},
			Points: []RunPoint{{"2025 Q1", "9", 0.6, 0.55, 0.9, true, false, false}, {"2025 Q2", "–", nan, nan, nan, false, false, false}, {"2025 Q3", "8", 0.92, 0.55, 0.9, false, true, false}, {"2025 Q4", "5", 0.7, nan, nan, false, false, true}},
		}.Figure("run chart"),
	}
	for name, d := range newerFigures() {
		out[name] = d.Draw(174)
	}
	return out
}

// A mark stands at its planned and achieved amount on one scale: what was all
// achieved lies on the line, whatever the panel.
func TestPlannedOnTheLine(t *testing.T) {
	p := PlanPanel{Title: "t", Unit: "mm", Tolerance: 0.5, Series: []PlanSeries{{Marker: FilledCircle, Points: []PlanPoint{{Planned: 1.5, Achieved: 1.5, Low: nan, High: nan}}}}}
	f := PlanPanels{Title: "p", Panels: []PlanPanel{p}, Width: 174}.Figure("d")
	var marks []Circle
	var lines []Line
	for _, it := range f.Items {
		switch it := it.(type) {
		case Circle:
			marks = append(marks, it)
		case Line:
			if it.A.X != it.B.X && it.A.Y != it.B.Y {
				lines = append(lines, it)
			}
		}
	}
	at := marks[len(marks)-1].Centre // the first is the legend's
	off := func(l Line) float64 {    // distance in mm along the plan's scale
		return l.A.Y + (at.X-l.A.X)*(l.B.Y-l.A.Y)/(l.B.X-l.A.X) - at.Y
	}
	require.Len(t, lines, 3)
	assert.InDelta(t, 0, off(lines[1]), 1e-9)
	assert.InDelta(t, -off(lines[0]), off(lines[2]), 1e-9, "the tolerance is the same on either side")
	assert.NotZero(t, off(lines[0]))
}

func svg(t *testing.T, f *Figure) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, f.SVG(&b, "test", nil))
	return b.String()
}

func TestGoldenSVG(t *testing.T) {
	for name, f := range figures() {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join("testdata", name+".svg")
			got := svg(t, f)
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, string(want), got, "go test ./report/chart -update, and look at the change")
		})
	}
}

// Every SVG is well-formed and says in words what there is to see.
func TestSVGIsWellFormedAndDescribed(t *testing.T) {
	for name, f := range figures() {
		s := svg(t, f)
		d := xml.NewDecoder(strings.NewReader(s))
		for {
			if _, err := d.Token(); err != nil {
				require.True(t, errors.Is(err, io.EOF), "%s: %v", name, err)
				break
			}
		}
		assert.Contains(t, s, `role="img"`)
		assert.Regexp(t, `<title id="t">[^<]+</title>`, s)
		assert.Regexp(t, `<desc id="d">[^<]+</desc>`, s)
	}
}

func TestSVGEscapes(t *testing.T) {
	f := &Figure{Title: `<script>"&`, Desc: "d", W: 1, H: 1}
	f.text(0, 1, "a<b", Start, false)
	s := svg(t, f)
	assert.NotContains(t, s, "<script>")
	assert.Contains(t, s, "a&lt;b")
}

// Nothing of a figure leaves its own frame, and no two texts overlap.
func TestFiguresKeepToTheirFrame(t *testing.T) {
	for name, f := range figures() {
		texts := []Text{}
		for _, it := range f.Items {
			if x, ok := it.(Text); ok {
				texts = append(texts, x)
			}
		}
		for i, a := range texts {
			b := a.Bounds()
			assert.True(t, b.X > -0.3 && b.X+b.W < f.W+0.3 && b.Y > -0.3 && b.Y+b.H < f.H+0.3, "%s: %q leaves the frame", name, a.Text)
			for _, o := range texts[i+1:] {
				c := o.Bounds()
				w := math.Min(b.X+b.W, c.X+c.W) - math.Max(b.X, c.X)
				h := math.Min(b.Y+b.H, c.Y+c.H) - math.Max(b.Y, c.Y)
				assert.False(t, w > 0.25 && h > 0.25, "%s: %q and %q overlap", name, a.Text, o.Text)
			}
		}
	}
}

// An interval that leaves the axis ends in an arrow head: a filled polygon.
func TestIntervalsThatLeaveTheAxis(t *testing.T) {
	a := axis{0, 1, 0, 100}
	heads := func(lo, hi float64) int {
		f := &Figure{}
		f.interval(a, 0, 0.5, lo, hi, Pen{Width: 1})
		n := 0
		for _, it := range f.Items {
			if _, ok := it.(Polygon); ok {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 0, heads(0.2, 0.8))
	assert.Equal(t, 1, heads(0.2, 1.8))
	assert.Equal(t, 2, heads(-1, 1.8))
	assert.Equal(t, 1, heads(1.5, 1.8), "wholly beyond")
	assert.Equal(t, 0, heads(nan, nan))
}

// Lettering on a fill stays white where the page turns dark: only what stands on the
// paper turns with it.
func TestLetteringOnAFillKeepsItsColour(t *testing.T) {
	f := &Figure{W: 10, H: 10, Items: []Item{Text{Text: "on a fill", Colour: On(Colour{0x1f, 0x5a, 0x56}), Size: 8}, Text{Text: "on paper", Colour: Ink, Size: 8}}}
	var b bytes.Buffer
	require.NoError(t, f.Inline(&b, "x", nil, nil))
	assert.Contains(t, b.String(), `fill="#ffffff">on a fill`)
	assert.Contains(t, b.String(), `fill="var(--c-1a1a1a,#1a1a1a)">on paper`)
}
