package report

import (
	"bytes"
	"cmp"
	"math"
	"os"
	"path/filepath"
	"slices"
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
	for _, shared := range []bool{false, true} {
		for _, size := range []paper.Size{paper.A4, paper.Letter} {
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

// A case of usual size is one page, and a long one needs a further page, and one for every 35 movements at most.
func TestCaseOfUsualSizeIsOnePage(t *testing.T) {
	s := caseSheets(t, false)
	usual := 0
	for _, x := range s.Sheets {
		one := *s
		one.Sheets = []results.CaseSheet{x}
		d, err := composeCases(&one, Options{})
		require.NoError(t, err)
		if n := len(x.Movements); n <= 16 {
			usual++
			assert.Equal(t, 1, d.Pages(), "%s: %d movements", x.ID, n)
		} else {
			assert.LessOrEqual(t, d.Pages(), 2+n/35, "%s: %d movements", x.ID, n)
		}
	}
	assert.Greater(t, usual, 2)
}

// A further page says whose it is, the questions stand on the first one, each
// movement on one page, its flags uncut.
func TestLongCaseGoesOnUnderItsName(t *testing.T) {
	s := caseSheets(t, true)
	i := slices.IndexFunc(s.Sheets, func(x results.CaseSheet) bool { return len(x.Movements) > 60 })
	require.GreaterOrEqual(t, i, 0)
	one := *s
	one.Sheets = []results.CaseSheet{s.Sheets[i]}
	m := &one.Sheets[0].Movements[0]
	m.Again, m.StyleBefore, m.Lost, m.AgainstTable = true, casebook.StyleNone, true, true
	d, err := composeCases(&one, Options{})
	require.NoError(t, err)
	require.Greater(t, d.Pages(), 1)
	flags := 0
	for _, b := range d.Boxes() {
		assert.NotContains(t, b.Text, "…")
		if b.Text == "again, new style, lost, long edge" {
			flags++
		}
		if b.Text == "For discussion" {
			assert.Equal(t, 1, b.Page)
		}
	}
	assert.Equal(t, 1, flags)
	for p := 2; p <= d.Pages(); p++ {
		assert.True(t, slices.ContainsFunc(d.Boxes(), func(b paper.Placed) bool {
			return b.Page == p && strings.HasPrefix(b.Text, "Case "+one.Sheets[0].ID+":")
		}), "page %d", p)
	}
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
