package ingest

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/privacy/seeded"
	"shortfall/ingest/template"
)

// hide puts an identifier into one place of a workbook.
var hide = []struct {
	where string
	put   func(*excelize.File, seeded.Identifier) error
}{
	{"case", func(f *excelize.File, x seeded.Identifier) error { return f.SetCellStr("cases", "A3", x.Text) }},
	{"unread column", func(f *excelize.File, x seeded.Identifier) error {
		return f.SetCellStr("movements", "R2", x.Text)
	}},
	{"header", func(f *excelize.File, x seeded.Identifier) error { return f.SetCellStr("cases", "N1", x.Header) }},
	{"comment", func(f *excelize.File, x seeded.Identifier) error {
		return f.AddComment("courses", excelize.Comment{Cell: "B2", Author: "user", Text: "see " + x.Text})
	}},
	{"hidden sheet", func(f *excelize.File, x seeded.Identifier) error {
		if _, err := f.NewSheet("more"); err != nil {
			return err
		}
		if err := f.SetCellStr("more", "B7", x.Header); err != nil {
			return err
		}
		return f.SetSheetVisible("more", false)
	}},
	{"author", func(f *excelize.File, x seeded.Identifier) error {
		return f.SetDocProps(&excelize.DocProperties{Creator: x.Text})
	}},
	{"company", func(f *excelize.File, x seeded.Identifier) error {
		return f.SetAppProps(&excelize.AppProperties{Company: x.Text})
	}},
}

// smallCase is a workbook of one clean case.
var smallCase = sync.OnceValues(func() ([]byte, error) {
	var out bytes.Buffer
	err := template.WriteDataset(&out, &casebook.Dataset{
		Cases:     []casebook.Case{{ID: "C-1", Clinician: "K1", Status: casebook.Completed, Start: casebook.NewMonth(2024, 3)}, {ID: "C-2", Status: casebook.Completed}},
		Courses:   []casebook.Course{{Case: casebook.CaseKey{ID: "C-1"}, Number: 1}},
		Movements: []casebook.Movement{{Case: casebook.CaseKey{ID: "C-1"}, Course: 1, Tooth: 43, Axis: casebook.Tip, Planned: -4, Achieved: casebook.Some(-3.0)}},
	}, template.Meta{})
	return out.Bytes(), err
})

// small writes a workbook of one clean case, changed by a function.
func small(t *testing.T, change func(*excelize.File) error) string {
	t.Helper()
	clean, err := smallCase()
	require.NoError(t, err)
	f, err := excelize.OpenReader(bytes.NewReader(clean))
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, change(f))
	path := filepath.Join(t.TempDir(), "cases.xlsx")
	require.NoError(t, f.SaveAs(path))
	return path
}

func TestCleanWorkbookIsRead(t *testing.T) {
	b, err := Read(context.Background(), small(t, func(*excelize.File) error { return nil }), Options{})
	require.NoError(t, err)
	assert.Len(t, b.Cases, 2)
	assert.Len(t, b.Movements, 1)
}

// A workbook with an identifier anywhere is refused, and what is said about it
// repeats no part of it.
func TestIdentifiersAreRefused(t *testing.T) {
	for i, x := range seeded.Invent(max(len(hide), often(58)), 3) {
		h := hide[i%len(hide)]
		path := small(t, func(f *excelize.File) error { return h.put(f, x) })
		b, err := Read(context.Background(), path, Options{})
		assert.Nil(t, b)
		require.Error(t, err, "%s in %s", x.Text, h.where)
		problems := Problems(err)
		require.NotEmpty(t, problems)
		for _, p := range problems {
			assert.True(t, strings.HasPrefix(p.Rule, "identifier-"), p.Rule)
		}
		if h.where != "header" && h.where != "hidden sheet" {
			assert.NotContains(t, err.Error(), x.Text)
		}
	}
}

func TestIdentifiersAreAllowedOnRequest(t *testing.T) {
	path := small(t, func(f *excelize.File) error { return f.SetCellStr("movements", "R2", "k@example.org") })
	b, err := Read(context.Background(), path, Options{AllowIdentifiers: true})
	require.NoError(t, err)
	require.NotEmpty(t, b.Problems)
	var found int
	for _, p := range b.Problems {
		if strings.HasPrefix(p.Rule, "identifier-") {
			found++
			assert.Equal(t, casebook.Warning, p.Severity)
			assert.Equal(t, "R2", p.Cell)
		}
	}
	assert.Equal(t, 1, found)
}

// Nothing that the project itself writes or made by hand as a clean fixture
// raises an alarm.
func TestNoAlarmOnSampleData(t *testing.T) {
	patterns := []string{"../sampledata/*.csv", "../sampledata/*.xlsx"}
	if os.Getenv("SHORTFALL_LONG") == "" {
		patterns = patterns[:1] // a workbook of the same cells
	}
	for _, pattern := range patterns {
		paths, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, paths, pattern)
		for _, path := range paths {
			_, err := Read(context.Background(), path, Options{})
			for _, p := range Problems(err) {
				assert.NotContains(t, p.Rule, "identifier-", "%s: %v", path, p)
			}
		}
	}
	empty := filepath.Join(t.TempDir(), "cases.xlsx")
	out, err := os.Create(empty)
	require.NoError(t, err)
	require.NoError(t, template.Write(out))
	require.NoError(t, out.Close())
	_, err = Read(context.Background(), empty, Options{})
	for _, p := range Problems(err) {
		assert.NotContains(t, p.Rule, "identifier-")
	}
}
