package report

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// Every number of the first pages, of every fixture, is that of its datum or stands in a
// sentence of the results; the paper prints no other, and the file, as another program
// reads it, has those of the paper.
func TestNumbersAreAccountedFor(t *testing.T) {
	for name, r := range fixtures() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			numbersAreAccountedFor(t, r, laid(t, r, Options{}))
		})
	}
}

// numbersAreAccountedFor looks at one page and at four, and at the four as laid out.
func numbersAreAccountedFor(t *testing.T, r *results.Results, short *paper.Doc) {
	t.Helper()
	a := accountOf(t, r)
	one, err := section.Document(r, section.One)
	require.NoError(t, err)
	assert.Empty(t, unaccounted(&a, one))
	four, err := section.Document(r, section.Short)
	require.NoError(t, err)
	assert.Empty(t, unaccounted(&a, four))
	assert.Empty(t, unfounded(short, four))
}

var digits = regexp.MustCompile(`[0-9]+`)

// digitsOf are the runs of digits of a text, in order of size: what two programs that
// read a page in another order agree on.
func digitsOf(texts ...string) []string {
	out := digits.FindAllString(strings.Join(texts, " "), -1)
	slices.Sort(out)
	return out
}

func TestNumbersOfTheFileAreThoseOfThePages(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed (apt: poppler-utils)")
	}
	for name, r := range fixtures() {
		if name == "sample data" || long && (name == "shared" || name == "no comparison" || name == "questions") {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				p, err := compose(r, Options{}) // not laid: writing is once
				require.NoError(t, err)
				var boxes []string
				for _, b := range p.Boxes() {
					boxes = append(boxes, b.Text)
				}
				assert.Equal(t, digitsOf(boxes...), digitsOf(textOfFile(t, p)))
			})
		}
	}
}

// textOfFile is the text of the PDF as another program reads it.
func textOfFile(t *testing.T, p *paper.Doc) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "a.pdf")
	f, err := os.Create(file)
	require.NoError(t, err)
	require.NoError(t, p.Write(f))
	require.NoError(t, f.Close())
	text, err := exec.Command("pdftotext", file, "-").Output()
	require.NoError(t, err)
	return string(text)
}

// copyOf shares with the results what the changes below leave alone.
func copyOf(t *testing.T, r *results.Results) *results.Results {
	t.Helper()
	out := *r
	front, err := json.Marshal(r.Front)
	require.NoError(t, err)
	out.Front = results.Front{}
	require.NoError(t, json.Unmarshal(front, &out.Front))
	out.Expression, out.Comparisons = slices.Clone(r.Expression), slices.Clone(r.Comparisons)
	out.Refinements.Distribution, out.Questions.Switches.Paths = slices.Clone(r.Refinements.Distribution), slices.Clone(r.Questions.Switches.Paths)
	return &out
}

// drawnFirst is the place of the first direction that is drawn as a pair.
func drawnFirst(r *results.Results) int {
	return slices.IndexFunc(r.Comparisons, func(c results.Comparison) bool { return c.By == r.Front.Dots.Groups[0].Rows[0].By })
}

// meantKind is a kind of tooth that the title of page one names.
func meantKind(r *results.Results) *results.FrontKind {
	kinds := r.Front.Arches.Axes[0].Kinds
	return &kinds[slices.IndexFunc(kinds, func(k results.FrontKind) bool { return k.Meant })]
}

// A number that no result accounts for is found wherever it is put, also one that many
// results have elsewhere.
func TestInventedNumbersAreFound(t *testing.T) {
	r := sample()
	a := accountOf(t, r)
	withOnly := func(b document.Block) *document.Document {
		return &document.Document{Sections: []document.Section{{Title: "s", Blocks: []document.Block{b}}}}
	}
	for name, b := range map[string]document.Block{
		"sentence": document.Para{Text: document.Words("Extrusion: 47 points more of the plan was achieved.")},
		"title":    document.Figure{Title: "47 of 124 completed cases"},
		"note":     document.Para{Text: document.Noted("words", document.Note{Text: "Only 47 cases have it."})},
		"cell":     document.Table{Title: "t", Columns: []document.Column{{Title: "a"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "47"}}}}},
		"drawing":  figureOf(chart.Text{Text: "47 (40 to 52)"}),
	} {
		assert.NotEmpty(t, unaccounted(&a, withOnly(b)), name)
	}

	// A value of the results that is another by a point is found in what is drawn of it.
	for name, change := range map[string]func(*results.Results){
		"dots":   func(r *results.Results) { r.Front.Dots.Groups[0].Rows[0].Software += 0.02 },
		"kind":   func(r *results.Results) { r.Front.Arches.Axes[0].Kinds[0].Value += 0.02 },
		"limits": func(r *results.Results) { r.Front.Arches.Axes[0].Kinds[0].High += 0.02 },
		"short":  func(r *results.Results) { meantKind(r).Short += 3 },
		"tooth": func(r *results.Results) {
			axes := r.Front.Arches.Axes
			axes[len(axes)-1].Teeth[3].Value += 0.02 // of a figure with a number in each tooth
		},
		"headline": func(r *results.Results) { r.Front.Headline += " in 47 directions" },
		"refined":  func(r *results.Results) { r.Refinements.Distribution[1].Cases += 1000 },
		"path": func(r *results.Results) {
			for i := range r.Questions.Switches.Paths {
				r.Questions.Switches.Paths[i].Next.Value += 0.31
			}
		},
		"forest": func(r *results.Results) {
			for i := range r.Expression {
				if r.Expression[i].By == r.Front.Dots.Groups[0].Rows[0].By {
					r.Expression[i].Estimate += 0.31
				}
			}
		},
		"readings":  func(r *results.Results) { r.Comparisons[drawnFirst(r)].Adjusted.High += 0.33 },
		"statement": func(r *results.Results) { r.Front.Choice.Statements[0].Text += " 47 patients." },
	} {
		other := copyOf(t, r)
		change(other)
		d, err := section.Document(other, section.Short)
		require.NoError(t, err)
		assert.NotEmpty(t, unaccounted(&a, d), name)
	}

	d, err := section.Document(r, section.Short)
	require.NoError(t, err)
	d.Sections = d.Sections[:1]
	assert.NotEmpty(t, unfounded(laid(t, r, Options{}), d), "what the paper prints beyond its document")
}
