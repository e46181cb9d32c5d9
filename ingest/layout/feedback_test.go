package layout_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
)

const head = "case,status,course,tooth,axis,planned,achieved,start month,practice\n"

// dirty is a file with 47 numbers that are none, a wrong tooth, and texts that would
// act as formulas.
func dirty(t *testing.T) *casebook.Batch {
	t.Helper()
	var text strings.Builder
	text.WriteString(head)
	for i := range 47 {
		fmt.Fprintf(&text, "P%d,completed,1,43,rotation,oops,4,2024-03,A\n", i)
	}
	text.WriteString("Q1,completed,1,99,rotation,5,4,2024-03,A\n")
	text.WriteString("=1+1,completed,1,44,rotation,75,4,2024-03,@SUM(A1)\n")
	text.WriteString("Q2,completed,1,45,rotation,-5,-4,2024-03,+1\n")
	path := filepath.Join(t.TempDir(), "dirty.csv")
	require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o600))
	b, err := ingest.Read(context.Background(), path, ingest.Options{AllowIdentifiers: true}) // "@SUM" could be an address
	require.NoError(t, err)
	return b
}

func TestSummaryGroupsTheDates(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, summary(&out, dirty(t).Problems, 0))
	first, _, _ := strings.Cut(out.String(), "\n")
	assert.Contains(t, first, "47 times")
	assert.Contains(t, first, "F2:F48")
	assert.Contains(t, first, "[number-unreadable]")
	assert.Contains(t, first, "Write a number")
	out.Reset()
	require.NoError(t, summary(&out, dirty(t).Problems, 1))
	assert.Contains(t, out.String(), "more kinds of findings are not shown")
}

func TestPlacesOfAGroup(t *testing.T) {
	at := func(cells ...string) string {
		var ps []casebook.Problem
		for _, c := range cells {
			ps = append(ps, casebook.Problem{Rule: "word-unknown", Severity: casebook.Error, Cell: c, Message: "m"})
		}
		g := feedback.Groups(ps)
		require.Len(t, g, 1)
		require.Equal(t, len(cells), g[0].Count)
		return g[0].Where
	}
	assert.Equal(t, "C2", at("C2"))
	assert.Equal(t, "C2:C4", at("C2", "C3", "C4"))
	assert.Equal(t, "C2, C4, C9", at("C2", "C4", "C9"))
	assert.Equal(t, "C2, C4, C9 and 2 more", at("C2", "C4", "C9", "C11", "C13"))
}

func TestAnnotatedWorkbook(t *testing.T) {
	b := dirty(t)
	var out bytes.Buffer
	require.NoError(t, feedback.Annotate(&out, b))
	f, err := excelize.OpenReader(bytes.NewReader(out.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, []string{"problems", "dirty", "accepted rows", "rejected rows"}, f.GetSheetList())

	// each cell in its old place, coloured where something is wrong, with a comment
	v, err := f.GetCellValue("dirty", "D49")
	require.NoError(t, err)
	assert.Equal(t, "99", v)
	assert.NotEqual(t, fill(t, f, "dirty", "C49"), fill(t, f, "dirty", "D49"))
	comments, err := f.GetComments("dirty")
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(comments), 49)

	// the rows reconcile, and every problem is on the list with a working link
	accepted, err := f.GetRows("accepted rows")
	require.NoError(t, err)
	rejected, err := f.GetRows("rejected rows")
	require.NoError(t, err)
	c := b.Counts()
	assert.Len(t, accepted, c.Accepted+1)
	assert.Len(t, rejected, c.Rejected+1)
	assert.Equal(t, c.Read-c.Blank, len(accepted)+len(rejected)-2)
	listed, err := f.GetRows("problems")
	require.NoError(t, err)
	assert.Len(t, listed, len(b.Problems)+2)
	linked := 0
	for i := range listed {
		ok, target, err := f.GetCellHyperLink("problems", fmt.Sprint("C", i+1))
		require.NoError(t, err)
		if ok {
			linked++
			assert.True(t, strings.HasPrefix(target, "'dirty'!"), target)
		}
	}
	assert.GreaterOrEqual(t, linked, 49)
}

// Nothing that came from the file is a formula anywhere in what is written.
func TestFormulasAreNeutralised(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, feedback.Annotate(&out, dirty(t)))
	f, err := excelize.OpenReader(bytes.NewReader(out.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	seen := 0
	for _, s := range f.GetSheetList() {
		rows, err := f.GetRows(s)
		require.NoError(t, err)
		for i, r := range rows {
			for j, text := range r {
				ref, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(s, ref)
				require.NoError(t, err)
				assert.Empty(t, formula, "%s!%s", s, ref)
				if text == "=1+1" || text == "@SUM(A1)" {
					seen++
				}
			}
		}
	}
	assert.GreaterOrEqual(t, seen, 2, "the texts themselves are kept")
}

func fill(t *testing.T, f *excelize.File, sheet, ref string) string {
	t.Helper()
	id, err := f.GetCellStyle(sheet, ref)
	require.NoError(t, err)
	s, err := f.GetStyle(id)
	require.NoError(t, err)
	return strings.Join(s.Fill.Color, "")
}

func TestJSONReconciles(t *testing.T) {
	b := dirty(t)
	var out bytes.Buffer
	require.NoError(t, feedback.WriteJSON(&out, []feedback.Report{
		feedback.NewReport("dirty.csv", b, nil),
		feedback.NewReport("other.csv", nil, []casebook.Problem{{Rule: "file-empty", Severity: casebook.Error, File: "other.csv", Message: "empty"}}),
	}))
	var back []feedback.Report
	require.NoError(t, json.Unmarshal(out.Bytes(), &back))
	require.Len(t, back, 2)
	assert.True(t, back[0].Usable)
	assert.False(t, back[1].Usable)
	assert.Equal(t, b.Counts(), back[0].Total)
	assert.True(t, back[0].Total.Balanced())
	assert.Len(t, back[0].Problems, len(b.Problems))
	assert.Equal(t, len(b.Movements), back[0].Records["movement"])
	for _, v := range []string{"99,", "@SUM", "Q1"} {
		assert.NotContains(t, out.String(), v, "values are not in the report")
	}
}

// Corrected in the annotated copy, a file is read like any other: the copy
// keeps every cell in its place.
func TestAnnotatedCopyIsReadAgain(t *testing.T) {
	src := filepath.Join("..", "testdata", "files", "op-clean.xlsx")
	want, err := ingest.Read(t.Context(), src, ingest.Options{})
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "again.xlsx")
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, feedback.Annotate(out, want))
	require.NoError(t, out.Close())
	got, err := ingest.Read(t.Context(), path, ingest.Options{})
	require.NoError(t, err)
	assert.Len(t, got.Movements, len(want.Movements))
	for i := range want.Movements {
		assert.Equal(t, want.Movements[i].Value, got.Movements[i].Value)
		assert.Equal(t, want.Movements[i].Source, got.Movements[i].Source)
	}
	assert.Len(t, got.Cases, len(want.Cases))
	for i := range want.Cases {
		assert.Equal(t, want.Cases[i].Value, got.Cases[i].Value)
	}
}

// The same file gives the same bytes, those of a sheet in two units too.
func TestAnnotatedBytesAreTheSame(t *testing.T) {
	var first []byte
	for range 8 {
		path := filepath.Join(t.TempDir(), "dirty.csv")
		require.NoError(t, os.WriteFile(path, []byte("case,course,tooth,axis,planned (mm),planned (deg),achieved (mm),achieved (deg)\n"+
			"K1,1,43,rotation,,-10,,-8\nK1,1,44,rotation,1,10,,8\nK1,1,45,wobble,1,,,8\n"), 0o600))
		b, err := ingest.Read(t.Context(), path, ingest.Options{})
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, feedback.Annotate(&out, b))
		if first == nil {
			first = out.Bytes()
		}
		require.True(t, bytes.Equal(first, out.Bytes()))
	}
}

// summary prints the groups, worst first, at most so many lines (0: all), as the
// commands do.
func summary(w io.Writer, problems []casebook.Problem, most int) error {
	groups := feedback.Groups(problems)
	for i, g := range groups {
		if most > 0 && i == most {
			_, err := fmt.Fprintf(w, "%d more kinds of findings are not shown\n", len(groups)-most)
			return err
		}
		if _, err := fmt.Fprintln(w, g.Line()); err != nil {
			return err
		}
	}
	return nil
}
