package ingest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

// What a sheet says outside the cells that parsed is nowhere in the database:
// unread columns and their headers, cells without a header, cells that did not
// parse, words that a mapping translates, ages, days of dates. The words are
// nonsense, so that they can be in the file for no other reason.
func TestOnlyWhatParsesIsKept(t *testing.T) {
	const sheet = `case,status,course,tooth,axis,planned,achieved,style,age,start month,zqremarkhead,wear,
K1,completed,1,43,rotation,5,4,zqmapped,37,2024-05-17,zqunread,good,zqheadless
K1,completed,1,44,rotation,5,4,none,37,2024-05-17,zqunread,good,
K2,completed,1,zqtooth,rotation,5,4,none,38,2024-05-17,zqunread,good,zqheadless
K3,completed,1,45,zqaxis,5,zqachieved,none,39,2024-05-17,zqunread,zqwear,
K3,zqstatus,1,46,tip,5,5,none,39,2024-05-17,zqunread,good,
`
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.csv")
	require.NoError(t, os.WriteFile(path, []byte(sheet), 0o600))
	m := filepath.Join(dir, "map.toml")
	require.NoError(t, os.WriteFile(m, []byte("version = 1\n[words.style]\nzqmapped = \"clinician-designed\"\n"), 0o600))
	declared, err := mapping.Load(m)
	require.NoError(t, err)
	ctx := context.Background()
	batch, err := Read(ctx, path, Options{Mapping: declared, AllowIdentifiers: true, Answers: map[string]string{"signs": "signed"}})
	require.NoError(t, err)
	require.NotEmpty(t, batch.Movements)
	require.NotEmpty(t, batch.Rejected)
	assert.Contains(t, texts(batch.Movements[0].Original.Cells()), "zqunread", "the marked copy is made from memory")
	assert.Contains(t, texts(batch.Rejected[0].Original.Cells()), "zqtooth")

	file := filepath.Join(dir, "clinic.db")
	db, err := sqlite.Open(ctx, file)
	require.NoError(t, err)
	_, err = db.Import(ctx, batch, store.Choices{})
	require.NoError(t, err)
	rejected, err := db.Rejected(ctx)
	require.NoError(t, err)
	require.Equal(t, "tooth-unknown", rejected[0].Reasons[0].Rule, "its class and its place are kept instead")
	require.Equal(t, "D4", rejected[0].Reasons[0].Cell)
	require.NotEmpty(t, rejected[0].Reasons[0].Class)
	assert.Contains(t, texts(rejected[0].Original.Cells()), "K2", "what parsed of a rejected row is kept")
	require.NoError(t, db.Close())
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	for _, word := range []string{"zq", "2024-05-17", `"37"`, `"39"`} {
		assert.False(t, strings.Contains(string(b), word), word)
	}
	assert.True(t, strings.Contains(string(b), `"2024-05"`), "what parsed is kept")
}

func texts(cells []Cell) string {
	var out []string
	for _, c := range cells {
		out = append(out, c.Text)
	}
	return strings.Join(out, " ")
}
