package report

import (
	"bytes"
	"cmp"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/report/schema"
	"shortfall/sampledata"
)

func caseSheets(t *testing.T, shared bool) *results.CaseSheets {
	t.Helper()
	p := sampledata.Default()
	p.Cases = 60
	ds, _ := sampledata.Generate(p, 9)
	var ids []casebook.CaseKey
	for i := range 12 {
		ids = append(ids, ds.Cases[i].Key())
	}
	s := results.DefaultSettings()
	s.Shared, s.Notation = shared, casebook.Palmer
	out, err := audit.MakeCaseSheets(ds, ids, s, "0.1.0")
	require.NoError(t, err)
	return out
}

func TestCaseSheetsLayout(t *testing.T) {
	for i, shared := range []bool{false, true} {
		for _, size := range sheetsOf(i) {
			s := caseSheets(t, shared)
			d, err := composeCases(s, Options{Paper: size})
			require.NoError(t, err)
			assert.GreaterOrEqual(t, d.Pages(), len(s.Sheets))
			pages := make([][]paper.Placed, d.Pages())
			for _, b := range d.Boxes() {
				pages[b.Page-1] = append(pages[b.Page-1], b)
				if b.Box.X < paper.Margin-0.3 || b.Box.X+b.Box.W > size.W-paper.Margin+0.3 || b.Box.Y+b.Box.H > size.H-paper.Margin+0.3 {
					t.Errorf("page %d: %q leaves the margins", b.Page, b.Text)
				}
			}
			for i, boxes := range pages {
				noOverlap(t, i+1, boxes)
			}
			text := allText(d)
			for _, x := range s.Sheets {
				assert.Contains(t, text, "Case "+x.ID)
			}
			if shared {
				assert.NotContains(t, text, "clinician K")
				assert.NotRegexp(t, `, age \d`, text)
			} else {
				assert.Contains(t, text, "clinician K")
			}
		}
	}
}

// A case is one page, however many movements it has: the page then shows those
// furthest from their plan and says how many it leaves out.
func TestACaseIsOnePage(t *testing.T) {
	s := caseSheets(t, false)
	cut := 0
	for i, x := range s.Sheets {
		for _, size := range sheetsOf(i) {
			one := *s
			one.Sheets = []results.CaseSheet{x}
			d, err := composeCases(&one, Options{Paper: size})
			require.NoError(t, err)
			assert.Equal(t, 1, d.Pages(), "%s: %d movements on %s", x.ID, len(x.Movements), size.Name)
			text, shown := allText(d), len(x.Movements)
			if m := leftOut.FindStringSubmatch(text); m != nil {
				cut++
				n, others := atoi(t, m[1]), atoi(t, m[2])
				assert.Equal(t, shown, n+others, x.ID)
				shown = n
			}
			rows := 0
			for _, b := range d.Boxes() {
				if slices.ContainsFunc(casebook.Directions(), func(d casebook.Direction) bool { return strings.EqualFold(d.String(), b.Text) }) {
					rows++
				}
			}
			assert.Equal(t, shown, rows, x.ID)
		}
	}
	assert.Greater(t, cut, 2)
}

var leftOut = regexp.MustCompile(`Shown are the (\d+) furthest from their plan; the file of numbers has the other (\d+)`)

func atoi(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}

func noOverlap(t *testing.T, page int, boxes []paper.Placed) {
	t.Helper()
	boxes = slices.SortedFunc(slices.Values(boxes), func(a, b paper.Placed) int { return cmp.Compare(a.Box.Y, b.Box.Y) })
	for i, a := range boxes {
		for _, b := range boxes[i+1:] {
			w := math.Min(a.Box.X+a.Box.W, b.Box.X+b.Box.W) - math.Max(a.Box.X, b.Box.X)
			h := math.Min(a.Box.Y+a.Box.H, b.Box.Y+b.Box.H) - math.Max(a.Box.Y, b.Box.Y)
			if w > 0.25 && h > 0.25 {
				t.Errorf("page %d: %q and %q overlap", page, a.Text, b.Text)
			}
		}
	}
}

func TestCaseSheetsSameBytes(t *testing.T) {
	s := caseSheets(t, false)
	if !long {
		s.Sheets = s.Sheets[:4]
	}
	var a, b bytes.Buffer
	require.NoError(t, CasePDF(&a, s, Options{}))
	require.NoError(t, CasePDF(&b, s, Options{}))
	assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
	if *keep != "" {
		require.NoError(t, os.WriteFile(filepath.Join(*keep, "cases.pdf"), a.Bytes(), 0o600))
	}
}

// TestCaseJSONFollowsItsSchema validates against the definition of case sheets.
func TestCaseJSONFollowsItsSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource(schema.ID, doc))
	s, err := c.Compile(schema.ID + "#/$defs/CaseSheets")
	require.NoError(t, err)
	for _, shared := range []bool{false, true} {
		var b bytes.Buffer
		require.NoError(t, CaseJSON(&b, caseSheets(t, shared)))
		v, err := jsonschema.UnmarshalJSON(&b)
		require.NoError(t, err)
		require.NoError(t, s.Validate(v))
		delete(v.(map[string]any)["sheets"].([]any)[0].(map[string]any), "planned_again")
		require.Error(t, s.Validate(v), "the schema has teeth")
	}
}
