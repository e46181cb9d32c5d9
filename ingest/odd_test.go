package ingest

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/apart"
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
