package ingest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/apart"
	. "shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/sheet"
)

// A mapping proposed for an odd sheet says how the sheet is read, and the sheet is read
// the same with it; its [file] and [words] hold for the odd sheet too.
func TestMappingOfOddSheets(t *testing.T) {
	for file, how := range map[string]string{"040-en-tooth-chart.xlsx": "teeth across", "078-*": "", "080-*": ""} {
		found, err := filepath.Glob(filepath.Join("testdata", "corpus", file+"*"))
		require.NoError(t, err)
		path := found[len(found)-1]
		book, err := sheet.OpenContext(t.Context(), path, sheet.Limits{})
		require.NoError(t, err)
		about := apart.AboutOdd(book)
		assert.Contains(t, about, "is read as", path)
		assert.Contains(t, about, how)
		text := string(layout.Propose(apart.Plain(book)).Text()) + about
		m, err := mapping.Parse("map.toml", []byte(text))
		require.NoError(t, err, text)
		want, err := Read(t.Context(), path, Options{AllowIdentifiers: true})
		require.NoError(t, err)
		got, err := Read(t.Context(), path, Options{AllowIdentifiers: true, Mapping: m})
		require.NoError(t, err)
		assert.Equal(t, recordsOf(want), recordsOf(got))
		require.NotEmpty(t, got.Movements)

		m, err = mapping.Parse("map.toml", []byte(text+"\n[words.style]\n\"none\" = \"software-suggested\"\n"))
		require.NoError(t, err)
		got, err = Read(t.Context(), path, Options{AllowIdentifiers: true, Mapping: m})
		require.NoError(t, err)
		assert.Len(t, got.Movements, len(want.Movements))
	}
	book, err := sheet.OpenContext(t.Context(), filepath.Join("testdata", "files", "op-clean.xlsx"), sheet.Limits{})
	require.NoError(t, err)
	assert.Empty(t, apart.AboutOdd(book))
}

// "Ref no" is short for a reference and for a refinement: the values tell. Nobody is
// treated in more courses than a dozen.
func TestReferenceOrRefinement(t *testing.T) {
	var codes, courses strings.Builder
	codes.WriteString("Ref no,Stage,Tooth,Movement,Planned,Moved,Attachment\n")
	courses.WriteString("Patient,Ref no,Tooth,Movement,Planned,Moved,Attachment\n")
	for i := range 14 {
		fmt.Fprintf(&codes, "R%d,first,43,rotation,-10,-8,none\nR%d,first,44,rotation,10,8,none\n", i+1, i+1)
		fmt.Fprintf(&courses, "K%d,R1,43,rotation,-10,-8,none\nK%d,R1,44,rotation,10,8,none\n", i+1, i+1)
	}
	got := answered(t, codes.String())
	require.Len(t, got, 28)
	assert.Equal(t, "R9", got[27].Case.ID)
	assert.Equal(t, 1, got[27].Course)
	assert.Equal(t, Some(8.0), got[27].Achieved, "what moved was achieved")
	got = answered(t, courses.String())
	require.Len(t, got, 28)
	assert.Equal(t, "K9", got[27].Case.ID)
	assert.Equal(t, 2, got[27].Course)
}

// Where few codes leave the two open, the one question about them is all that is asked:
// no column is called missing that its answer may find.
func TestReferenceIsAskedOnce(t *testing.T) {
	text := "Ref no,Stage,Tooth,Movement,Planned,Achieved,Attachment\nR1,1,43,rotation,-10,-8,none\nR2,1,44,rotation,10,8,none\nR3,1,44,rotation,10,8,none\n"
	mustAsk(t, text, "column course")
}

// Sheets of other cases are not the further courses of the first one's.
func TestSheetsInOrder(t *testing.T) {
	head := "patient,tooth,movement,planned,achieved,attachment\n"
	first := head + "K1,43,rotation,-10,-8,none\nK2,44,torque,5,4,none"
	for name, c := range map[string]struct {
		second  string
		offered bool
	}{
		"other cases":    {head + "K3,43,rotation,-10,-8,none\nK4,44,torque,5,4,none", false},
		"a case goes on": {head + "K2,44,torque,2,1,none\nK4,44,torque,5,4,none", true},
	} {
		_, err := Read(t.Context(), sheets(t, "Spring", first, "Autumn", c.second), Options{Answers: usual})
		require.Equal(t, []string{"course"}, asked(t, err), name)
		assert.Equal(t, c.offered, strings.Contains(err.Error(), "in order"), name)
	}
}

// Among per cents as high 99 is a number like any other; among others, and among amounts,
// it may stand for "missing".
func TestNinetyNinePerCent(t *testing.T) {
	text := "patient,course,tooth,movement,planned,% achieved,attachment\nK1,1,43,rotation,-10,95,none\nK1,1,44,rotation,10,99,none\n"
	got := answered(t, text, "percent=computed")
	require.Len(t, got, 2)
	assert.InDelta(t, 9.9, got[1].Achieved.Value, 1e-9)
	mustAsk(t, strings.Replace(text, ",95,", ",80,", 1), "percent", "achieved 99")
	mustAsk(t, strings.NewReplacer("% achieved", "achieved", ",95,", ",-8,").Replace(text), "achieved 99")
}

// A phrase is parted where another header of the sheet names one thing twice.
func TestPhrasesBesideTwoHeadersOfOneField(t *testing.T) {
	var sb strings.Builder
	sb.WriteString("Ref no,Stage,Tooth,Planned,Achieved,Attachment\n")
	for i := range 13 {
		fmt.Fprintf(&sb, "R%d,1,43,extrusion 1.2 mm,0.8 mm,none\nR%d,1,44,intrusion 1.0 mm,0.6 mm,none\n", i+1, i+1)
	}
	got := answered(t, sb.String())
	require.Len(t, got, 26)
	assert.InDelta(t, 1.2, got[0].Planned, 1e-9)
	assert.InDelta(t, -1, got[1].Planned, 1e-9)
}
