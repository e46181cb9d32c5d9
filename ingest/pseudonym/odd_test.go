package pseudonym

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// Copies of odd sheets hold the movements that a reading of the sheet gives: wide ones,
// charts, blocks, forms, several teeth in a cell, positions, dittos, own keys; everyday of every eighth of them.
func TestCopyOfOddSheets(t *testing.T) {
	for i, name := range []string{
		"033-en-wide-pairs", "037-en-wide-directions", "040-en-tooth-chart", "043-en-case-block", "045-pt-case-block", "046-en-several-teeth", "049-en-quadrant-digit", "052-en-suffix",
		"056-en-positions", "070-en-sheet-per-style", "074-*", "076-*", "078-*", "080-*", "083-*", "086-*", "087-de-coded", "159-en-clockwise", "169-en-dittos", "228-en-two-notations", "331-nl",
	} {
		if i%8 > 0 && os.Getenv("SHORTFALL_LONG") == "" {
			continue
		}
		found, err := filepath.Glob("../testdata/corpus/" + name + ".[xoc]*")
		require.NoError(t, err)
		require.Len(t, found, 1, name)
		o := ingest.Options{AllowIdentifiers: true}
		want, err := ingest.Read(context.Background(), found[0], o)
		if !assert.NoError(t, err, name) {
			continue
		}
		dst := filepath.Join(t.TempDir(), "copy.xlsx")
		_, err = Copy(context.Background(), found[0], dst, testKey(), Options{})
		if !assert.NoError(t, err, name) {
			continue
		}
		got, err := ingest.Read(context.Background(), dst, ingest.Options{Notation: casebook.FDI})
		if assert.NoError(t, err, name) {
			want.Cases, got.Cases = nil, nil // a case of which only the clinician is known has no row in a list of cases
			assert.Equal(t, recoded(t, want), plain(got), name)
		}
	}
}

// Own words stay at home: a copy has ranges of years in our own writing, and "other".
func TestOwnWordsStayAtHome(t *testing.T) {
	assert.Equal(t, casebook.Own{AgeBand: "40-49", Wear: "other"}, casebook.Own{AgeBand: "40 bis 49 J.", Wear: "as Anna says"}.Bare())
	assert.Equal(t, casebook.Own{AgeBand: "other"}, casebook.Own{AgeBand: "grown-up"}.Bare())
}

// A copy of movements of which some have no direction, in a practice that a person named,
// reads back as all of them: none is left out and none gets a direction.
func TestCopyKeepsSizesAndPractice(t *testing.T) {
	dir := t.TempDir()
	src, dst := filepath.Join(dir, "own.csv"), filepath.Join(dir, "copy.xlsx")
	require.NoError(t, os.WriteFile(src, []byte("case,course,tooth,movement,direction,planned,achieved,attachment\n"+
		"Bo Ek,1,43,rotation,mesial-out,5,3,none\nBo Ek,1,44,rotation,,5,3,none\nBo Ek,1,45,intrusion,,0.5,-0.1,none\n"), 0o600))
	sum, err := Copy(t.Context(), src, dst, testKey(), Options{Practice: " North ", Reading: ingest.Options{Answers: question.Answers{"signs": "sizes"}}})
	require.NoError(t, err)
	assert.Empty(t, sum.Dropped)
	assert.Equal(t, Codes{Renamed: 1}, sum.Cases)
	b, err := ingest.Read(t.Context(), dst, ingest.Options{})
	require.NoError(t, err)
	require.Len(t, b.Movements, 3)
	for _, r := range b.Movements {
		m := r.Value
		assert.Equal(t, m.Tooth == 44, m.SizeOnly)
		assert.Equal(t, map[casebook.Tooth][2]float64{43: {-5, -3}, 44: {5, 3}, 45: {-0.5, 0.1}}[m.Tooth], [2]float64{m.Planned, m.Achieved.Value})
		assert.NotEqual(t, "", m.Case.Practice)
		assert.NotContains(t, m.Case.ID, "Ek")
	}
}
