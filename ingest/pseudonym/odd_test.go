package pseudonym

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
)

// Copies of odd sheets hold the movements that a reading of the sheet gives: wide ones,
// charts, blocks, forms, several teeth in a cell, positions, dittos, own keys.
func TestCopyOfOddSheets(t *testing.T) {
	for _, name := range []string{
		"033-en-wide-pairs", "037-en-wide-directions", "040-en-tooth-chart", "043-en-case-block", "045-pt-case-block", "046-en-several-teeth", "049-en-quadrant-digit", "052-en-suffix",
		"056-en-positions", "070-en-sheet-per-style", "074-*", "076-*", "078-*", "080-*", "083-*", "086-*", "087-de-coded", "159-en-clockwise", "169-en-dittos", "228-en-two-notations", "331-nl",
	} {
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
