package template

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

func written(t testing.TB, write func(io.Writer) error) []byte {
	var b bytes.Buffer
	require.NoError(t, write(&b))
	return b.Bytes()
}

func opened(t testing.TB, content []byte) *excelize.File {
	f, err := excelize.OpenReader(bytes.NewReader(content))
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// practice holds every kind, with values present and missing.
func practice() *casebook.Dataset {
	return &casebook.Dataset{
		Cases: []casebook.Case{
			{
				ID: "C-1", Practice: "P1", Clinician: "K1", AgeBand: casebook.AgeUnder12, Start: casebook.NewMonth(2024, 3),
				End: casebook.NewMonth(2025, 1), Status: casebook.Switched, PlannedAligners: casebook.Some(24),
				ChangeDays: casebook.Some(7), Wear: casebook.WearPoor, WearRecorded: casebook.AfterOutcome, StatedRefinements: casebook.Some(0),
			},
			{ID: "=C-2", Status: casebook.UnderTreatment},
		},
		Courses: []casebook.Course{{Case: casebook.CaseKey{ID: "C-1"}, Number: 1, Start: casebook.NewMonth(2024, 3), AlignersUsed: casebook.Some(0)}, {Case: casebook.CaseKey{ID: "C-1"}, Number: 3}},
		Movements: []casebook.Movement{
			{
				Case: casebook.CaseKey{ID: "C-1"}, Course: 1, Tooth: 13, Axis: casebook.Rotation, Planned: -12.5, Achieved: casebook.Some(0.0),
				Style: casebook.ClinicianDesigned, Shape: casebook.Oval, Orientation: casebook.ObliqueFace,
				SizeMM: casebook.Some(3.5), Lost: casebook.Some(true), LostMonth: casebook.Some(2), Staging: casebook.Sequenced,
				MeasuredBy: casebook.NextPlanStart,
			},
			{Case: casebook.CaseKey{ID: "C-1"}, Course: 3, Tooth: 48, Axis: casebook.Vertical, Planned: 0.3},
		},
		Repeats: []casebook.Repeat{{Case: casebook.CaseKey{ID: "C-1"}, Course: 1, Tooth: 13, Axis: casebook.Rotation, First: -0.25, Second: 1e-9}},
	}
}

func TestTemplateLayout(t *testing.T) {
	f := opened(t, written(t, Write))
	assert.Equal(t, []string{"instructions", "lists", "cases", "courses", "movements", "repeats"}, f.GetSheetList())
	visible, err := f.GetSheetVisible(columns.ListsSheet)
	require.NoError(t, err)
	assert.False(t, visible)
	for _, k := range casebook.Kinds() {
		name, defs := columns.SheetName(k), columnsOf(k)
		rows, err := f.GetRows(name)
		require.NoError(t, err)
		require.Len(t, rows, 2, name)
		for i, d := range defs {
			assert.Equal(t, Header(d), rows[0][i])
		}
		assert.Equal(t, columns.ExampleID, rows[1][0])
		panes, err := f.GetPanes(name)
		require.NoError(t, err)
		assert.True(t, panes.Freeze && panes.YSplit == 1 && panes.XSplit == 1, name)
		rules, err := f.GetDataValidations(name)
		require.NoError(t, err)
		assert.Len(t, rules, len(defs), "every column explains itself")
	}
}

// Each drop-down must lead to exactly the words that ingest reads.
func TestDropDownsOfferTheWords(t *testing.T) {
	f := opened(t, written(t, Write))
	lists, err := f.GetCols(columns.ListsSheet)
	require.NoError(t, err)
	for _, k := range casebook.Kinds() {
		rules, err := f.GetDataValidations(columns.SheetName(k))
		require.NoError(t, err)
		for i, d := range columnsOf(k) {
			if len(d.Words) == 0 {
				assert.NotEqual(t, "list", rules[i].Type)
				continue
			}
			assert.Equal(t, "list", rules[i].Type, d.Header)
			ref := strings.TrimPrefix(rules[i].Formula1, "lists!")
			col, err := excelize.ColumnNameToNumber(strings.Split(ref, "$")[1])
			require.NoError(t, err)
			assert.Equal(t, d.Words, slices.DeleteFunc(lists[col-1][1:], func(s string) bool { return s == "" }), d.Header)
			assert.True(t, strings.HasSuffix(ref, "$"+strconv.Itoa(1+len(d.Words))), ref)
			first := strings.Split(rules[i].Sqref, ":")[0]
			want, err := excelize.CoordinatesToCellName(i+1, 2)
			require.NoError(t, err)
			assert.Equal(t, want, first)
		}
	}
}

func TestMonthsAndTeethStayText(t *testing.T) {
	f := opened(t, written(t, Write))
	for _, c := range []struct{ sheet, col string }{{"cases", "E"}, {"cases", "A"}, {"movements", "C"}, {"courses", "C"}} {
		id, err := f.GetColStyle(c.sheet, c.col)
		require.NoError(t, err)
		style, err := f.GetStyle(id)
		require.NoError(t, err)
		assert.Equal(t, asText, style.NumFmt, c.sheet+c.col)
	}
}

func TestInstructionsCoverSignsAndPrivacy(t *testing.T) {
	f := opened(t, written(t, Write))
	rows, err := f.GetRows(columns.InstructionsSheet)
	require.NoError(t, err)
	var all strings.Builder
	for _, r := range rows {
		all.WriteString(strings.Join(r, "|") + "\n")
	}
	for _, want := range []string{
		"vertical|mm|extrusion|intrusion", "rotation|deg|mesial side turns inward|mesial side turns outward",
		"buccolingual torque|deg|crown tips buccally", "dates of birth", "data-protection rules",
		"licensed clinician", columns.MissingCode, "discontinued", columns.ExampleID,
	} {
		assert.Contains(t, all.String(), want)
	}
	for _, k := range casebook.Kinds() {
		for _, d := range columnsOf(k) {
			assert.Contains(t, all.String(), d.About)
		}
	}
}

func TestSameBytesEachTime(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"template": Write,
		"dataset": func(w io.Writer) error {
			return WriteDataset(w, practice(), Meta{Title: "a practice", Invented: true})
		},
	} {
		first := written(t, write)
		for range 8 {
			require.True(t, bytes.Equal(first, written(t, write)), name)
		}
	}
}

// Whoever fills the workbook in must not find anybody's name in it.
func TestNoAuthor(t *testing.T) {
	f := opened(t, written(t, Write))
	p, err := f.GetDocProps()
	require.NoError(t, err)
	assert.Equal(t, "shortfall", p.Creator)
	assert.Equal(t, "shortfall", p.LastModifiedBy)
	z, err := zip.NewReader(bytes.NewReader(written(t, Write)), int64(len(written(t, Write))))
	require.NoError(t, err)
	assert.Equal(t, contentTypes, z.File[0].Name)
	for _, part := range z.File {
		r, err := part.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.NotContains(t, string(content), "xuri", part.Name)
	}
}

func TestDatasetInTheLayout(t *testing.T) {
	for _, invented := range []bool{false, true} {
		f := opened(t, written(t, func(w io.Writer) error {
			return WriteDataset(w, practice(), Meta{Title: "a practice", Invented: invented})
		}))
		top := 0
		if invented {
			top = 1
			p, err := f.GetDocProps()
			require.NoError(t, err)
			assert.Equal(t, columns.InventedMark, p.Category)
			for _, sheet := range []string{"instructions", "cases", "courses", "movements", "repeats"} {
				banner, err := f.GetCellValue(sheet, "A1")
				require.NoError(t, err)
				assert.Equal(t, Banner, banner)
			}
		}
		raw := func(sheet string) [][]string {
			rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
			require.NoError(t, err)
			return rows[top:]
		}
		assert.Equal(t, [][]string{
			{"C-1", "P1", "K1", "under 12", "2024-03", "2025-01", "switched to another appliance", "24", "7", "poor", "after", "0"},
			{"=C-2", "", "", "", "", "", "under treatment"},
		}, raw("cases")[1:])
		assert.Equal(t, [][]string{{"C-1", "initial", "2024-03", "", "0"}, {"C-1", "refinement 2"}}, raw("courses")[1:])
		assert.Equal(t, [][]string{
			{"C-1", "initial", "13", "rotation", "-12.5", "0", "deg", "clinician-designed", "oval", "oblique", "3.5", "yes", "2", "sequenced", "next plan's start"},
			{"C-1", "refinement 2", "48", "vertical", "0.3", columns.MissingCode, "mm"},
		}, raw("movements")[1:])
		assert.Equal(t, [][]string{{"C-1", "initial", "13", "rotation", "-0.25", "0.000000001", "deg"}}, raw("repeats")[1:])
		formula, err := f.GetCellFormula("cases", "A"+strconv.Itoa(top+3))
		require.NoError(t, err)
		assert.Empty(t, formula, "a text that looks like a formula stays a text")
	}
}

// Every template column has a value function: a new column without one panics here.
func TestEveryColumn(t *testing.T) {
	for _, k := range casebook.Kinds() {
		r := datasetRows(practice(), k, Meta{})
		n, full := 0, false
		for row := range r.each {
			n++
			assert.Len(t, row, len(columnsOf(k)))
			full = full || !slices.Contains(row, nil)
		}
		require.Positive(t, n, k)
		if k != casebook.CourseKind {
			assert.True(t, full, "%s: one record of the fixture fills every column", k)
		}
	}
}

func TestNothingIsCut(t *testing.T) {
	for _, change := range []func(*casebook.Movement){
		func(m *casebook.Movement) { m.StatedPercent = casebook.Some(50.0) },
		func(m *casebook.Movement) { m.SizeOnly = true },
	} {
		ds := practice()
		change(&ds.Movements[1])
		err := WriteDataset(io.Discard, ds, Meta{})
		assert.ErrorContains(t, err, "no column in the template")
	}
}

func BenchmarkWriteDataset(b *testing.B) {
	ds := practice()
	one := ds.Movements[0]
	for i := range 20000 {
		one.Case.ID = fmt.Sprintf("C-%d", i)
		ds.Movements = append(ds.Movements, one)
	}
	for b.Loop() {
		written(b, func(w io.Writer) error { return WriteDataset(w, ds, Meta{}) })
	}
	b.ReportMetric(float64(len(ds.Movements))*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
