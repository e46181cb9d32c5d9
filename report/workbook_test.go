package report

import (
	"archive/zip"
	"bytes"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/audit/results"
	"shortfall/report/document"
)

func asBook(t *testing.T, r *results.Results) ([]byte, *excelize.File) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Workbook(&b, r))
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return b.Bytes(), f
}

// practiceBook is the workbook of the practice, sampleBook that of a real audit: several
// tests read them.
var practiceBook, sampleBook = bookOnce(practice), bookOnce(sample)

func bookOnce(of func() *results.Results) func(t *testing.T) ([]byte, *excelize.File) {
	made := sync.OnceValues(func() ([]byte, error) {
		var b bytes.Buffer
		err := Workbook(&b, of())
		return b.Bytes(), err
	})
	read := sync.OnceValues(func() (*excelize.File, error) {
		raw, err := made()
		if err != nil {
			return nil, err
		}
		return excelize.OpenReader(bytes.NewReader(raw))
	})
	return func(t *testing.T) ([]byte, *excelize.File) {
		t.Helper()
		f, err := read()
		require.NoError(t, err)
		raw, err := made()
		require.NoError(t, err)
		return raw, f
	}
}

func TestWorkbookSheets(t *testing.T) {
	_, f := practiceBook(t)
	assert.Equal(t, []string{
		"summary", "expression", "planned and achieved", "comparisons", "readings", "checks", "balance", "matched strata", "sensitivity", "switch paths", "switched against kept",
		"staging", "heaviest teeth", "orientation", "attachment or none", "shapes", "sizes", "refinements", "refined by month", "planned again", "losses", "loss rates", "loss ratio", "quarter", "since earlier audit",
		"criteria", "trend", "protocol changes", "funnel", "expected results", "undecided", "precision", "stated percentages", "ways of measuring", "doubtful amounts", "data quality", "words", "settings", "definitions",
	}, f.GetSheetList())
}

// A sheet is printed as wide as the paper, with its head on every page.
func TestWorkbookOnPaper(t *testing.T) {
	_, f := practiceBook(t)
	heads := map[string]string{}
	for _, n := range f.GetDefinedName() {
		if n.Name == "_xlnm.Print_Titles" {
			heads[n.Scope] = n.RefersTo
		}
	}
	for _, sheet := range f.GetSheetList() {
		assert.Equal(t, "'"+sheet+"'!$1:$1", heads[sheet])
		fit, err := f.GetSheetProps(sheet)
		require.NoError(t, err)
		assert.True(t, fit.FitToPage != nil && *fit.FitToPage, sheet)
		layout, err := f.GetPageLayout(sheet)
		require.NoError(t, err)
		assert.Equal(t, "landscape", *layout.Orientation, sheet)
	}
}

// A row is higher exactly where one of its texts wraps, and a text wraps where it has more
// characters than its column is wide.
func TestRowsOfTheWorkbookAreAsHighAsTheirTexts(t *testing.T) {
	s := &document.Sheet{Columns: []document.SheetColumn{{Width: 20}, {Width: 4}}}
	b := &book{top: 1, long: 2}
	for _, c := range []struct {
		first, second int // characters
		wraps         bool
		height        float64
	}{{19, 5, false, 0}, {20, 11, false, 0}, {21, 1, true, 30}, {1, 12, true, 30}, {37, 1, true, 45}, {5000, 1, true, 409}} {
		row := []any{strings.Repeat("x", c.first), strings.Repeat("é", c.second)}
		wraps := false
		for _, cell := range b.dressed(s, row) {
			wraps = wraps || cell.(excelize.Cell).StyleID == b.long
		}
		assert.Equal(t, c.wraps, wraps, c)
		assert.InDelta(t, c.height, height(s, row), 1e-9, c)
	}
}

// Every cell of the grid is a row, in full precision.
func TestWorkbookHoldsTheGrid(t *testing.T) {
	r := practice()
	_, f := practiceBook(t)
	rows, err := f.GetRows("expression", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	require.Len(t, rows, len(r.Expression)+1)
	at := map[string]int{}
	for i, h := range rows[0] {
		at[h] = i
	}
	for i, c := range r.Expression {
		row := rows[i+1]
		assert.Equal(t, c.By.Axis.String(), row[at["axis"]])
		assert.Equal(t, strconv.Itoa(c.Cases), row[at["cases"]])
		got, err := strconv.ParseFloat(row[at["expression (ratio)"]], 64)
		require.NoError(t, err)
		assert.InEpsilon(t, float64(c.Estimate), got, 1e-14, "15 figures, as spreadsheets keep them")
		assert.Equal(t, !c.Low.OK(), row[at["low"]] == "", "what was not estimated is blank")
	}
}

// What the PDF leaves out for room is in the workbook: every row of every answer.
func TestWorkbookHoldsTheAnswers(t *testing.T) {
	r := sample()
	q := r.Questions
	balance, choices, points := 0, 0, 0
	for _, c := range r.Comparisons {
		balance += len(c.Balance)
	}
	for _, s := range q.CaseMix.Sensitivity {
		choices += len(s.Rows)
	}
	for _, c := range q.Reaudit.Criteria {
		points += len(c.Chart.Points)
	}
	_, f := sampleBook(t)
	for name, n := range map[string]int{
		"balance": balance, "switch paths": len(q.Switches.Paths), "switched against kept": len(q.Switches.Contrasts), "staging": len(q.Staging.Comparisons),
		"orientation": len(q.Fit.Comparisons), "attachment or none": len(q.Attachment.Comparisons), "shapes": len(q.Shape.Shapes), "sizes": len(q.Shape.Sizes), "ways of measuring": len(q.Measured.Cells), "doubtful amounts": len(q.Doubtful.List), "heaviest teeth": len(q.Staging.Loads), "matched strata": len(q.CaseMix.Matched), "sensitivity": choices, "criteria": len(q.Reaudit.Criteria), "trend": points,
		"protocol changes": len(q.Reaudit.Changes), "expected results": len(q.Outlook.Expected), "undecided": len(q.Outlook.Undecided), "precision": len(q.Outlook.Precision),
		"loss rates": len(q.LossRates.Rates), "comparisons": len(r.Comparisons),
	} {
		rows, err := f.GetRows(name)
		require.NoError(t, err)
		assert.Len(t, rows, n+1, name)
	}
	rows, err := f.GetRows("matched strata", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	m := q.CaseMix.Matched[0]
	at := slices.Index(rows[0], "matched (ratio)")
	got, err := strconv.ParseFloat(rows[1][at], 64)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(m.Matched.Difference), got, 1e-14)
}

func TestWorkbookHidesSuppressedAnswers(t *testing.T) {
	r := practice()
	r.Questions.Staging.Comparisons = []results.GroupComparison{{Group: results.GroupArm{Cases: 73915682}, Adjusted: results.Difference{Difference: 0.73915682}, Suppressed: true}}
	r.Questions.Switches.Paths = []results.SwitchPath{{Cases: 73915682, Change: results.Spread{Value: 0.73915682}, Suppressed: true}}
	r.Questions.LossRates.Rates = []results.LossRate{{Cases: 73915682, Lost: 73915682, Suppressed: true}}
	raw, _ := asBook(t, r)
	assert.NotContains(t, inflate(t, raw), "73915682")
}

func TestWorkbookHidesSuppressedRows(t *testing.T) {
	r := practice()
	for i := range r.Expression {
		r.Expression[i].Suppressed, r.Expression[i].Estimate, r.Expression[i].Cases = true, 0.424242, 4242
	}
	raw, _ := asBook(t, r)
	assert.NotContains(t, inflate(t, raw), "4242")
}

// Text that looks like a formula stays text: no <f> element anywhere.
func TestWorkbookHasNoFormulas(t *testing.T) {
	r := practice()
	r.Findings[0].Text = `=HYPERLINK("http://example.org","x")`
	r.Provenance.Settings.Title = "+1+1"
	raw, f := asBook(t, r)
	assert.NotRegexp(t, `<f[ >]`, inflate(t, raw))
	v, err := f.GetCellValue("summary", "A2")
	require.NoError(t, err)
	assert.Equal(t, "+1+1", v)
}

func TestWorkbookProperties(t *testing.T) {
	raw, f := practiceBook(t)
	p, err := f.GetDocProps()
	require.NoError(t, err)
	assert.Equal(t, "shortfall results", p.Title)
	assert.Equal(t, "2026-06-30T00:00:00Z", p.Created)
	assert.NotEmpty(t, raw)
}

func TestWorkbookOfNothing(t *testing.T) {
	r := emptyQuarter()
	r.Refinements.Mean.Value = results.Number(math.NaN())
	_, f := asBook(t, r)
	rows, err := f.GetRows("expression")
	require.NoError(t, err)
	assert.Len(t, rows, 1)
}

func inflate(t *testing.T, raw []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	require.NoError(t, err)
	var all strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		_, err = io.Copy(&all, r)
		require.NoError(t, err)
		require.NoError(t, r.Close())
	}
	return all.String()
}

// A person sees three decimals, of P four, and long words within their column; the cells
// hold every figure.
func TestWorkbookShowsFewDecimalsAndHoldsAll(t *testing.T) {
	_, f := sampleBook(t)
	shown, err := f.GetRows("comparisons")
	require.NoError(t, err)
	held, err := f.GetRows("comparisons", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	decimals := map[int]int{}
	for i, row := range held[1:] {
		for k, v := range row {
			x, err := strconv.ParseFloat(v, 64)
			if err != nil || x == math.Trunc(x) {
				continue
			}
			_, after, _ := strings.Cut(shown[i+1][k], ".")
			got, err := strconv.ParseFloat(shown[i+1][k], 64)
			require.NoError(t, err)
			want := 3
			if strings.Contains(held[0][k], "P") {
				want = 4
			}
			assert.Len(t, after, want, held[0][k])
			assert.InDelta(t, x, got, 0.501*math.Pow10(-want), held[0][k])
			decimals[want]++
		}
	}
	assert.Greater(t, decimals[3], 100)
	assert.Greater(t, decimals[4], 10)

	words, err := f.GetRows("definitions")
	require.NoError(t, err)
	at := slices.IndexFunc(words[1:], func(r []string) bool { return len(r) > 1 && len(r[1]) > 200 })
	require.GreaterOrEqual(t, at, 0)
	id, err := f.GetCellStyle("definitions", "B"+strconv.Itoa(at+2))
	require.NoError(t, err)
	style, err := f.GetStyle(id)
	require.NoError(t, err)
	require.NotNil(t, style.Alignment)
	assert.True(t, style.Alignment.WrapText)
}
