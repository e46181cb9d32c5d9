package keep

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/sqlite"
)

// withBeside makes a practice with targets, a kept audit and a key.
func withBeside(t *testing.T) (*Home, string) {
	t.Helper()
	h, err := At(filepath.Join(t.TempDir(), "home"))
	require.NoError(t, err)
	path, err := h.New("east")
	require.NoError(t, err)
	write(t, Beside(path, Criteria), "version = 1")
	write(t, Beside(path, Audits)+"/2026.json", "{}")
	write(t, Beside(path, ".key"), "secret")
	db, err := sqlite.Open(t.Context(), path)
	require.NoError(t, err)
	defer db.Close()
	_, err = h.BackUp(t.Context(), db, time.Unix(0, 0).UTC(), nil)
	require.NoError(t, err)
	return h, path
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

// A copy holds targets and kept audits with the records, goes to another machine as one
// file and comes back; what was there is copied aside before, and no audit is lost.
func TestACopyHoldsWhatLiesBeside(t *testing.T) {
	h, path := withBeside(t)
	list, err := h.Copies(path)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.True(t, list[0].Targets)
	assert.Equal(t, 1, list[0].Audits)
	packed := filepath.Join(t.TempDir(), "packed.zip")
	f, err := os.Create(packed)
	require.NoError(t, err)
	require.NoError(t, Pack(f, list[0].Path, "east"))
	require.NoError(t, f.Close())
	z, err := zip.OpenReader(packed)
	require.NoError(t, err)
	defer z.Close()
	var names []string
	for _, x := range z.File {
		names = append(names, x.Name)
	}
	assert.Equal(t, []string{"east.db", "east.criteria.toml", "east.audits/2026.json"}, names, "and no key")

	other, err := At(filepath.Join(t.TempDir(), "other"))
	require.NoError(t, err)
	there, err := other.New("west")
	require.NoError(t, err)
	require.NoError(t, other.TakeIn(t.Context(), packed, there, time.Unix(0, 0).UTC(), nil))
	assert.NoFileExists(t, there, "taking a copy in changes nothing")
	came, err := other.Copies(there)
	require.NoError(t, err)
	require.Len(t, came, 1)
	assert.True(t, came[0].Targets)

	write(t, Beside(there, Criteria), "version = 2")
	write(t, Beside(there, Audits)+"/2026.json", "{\"mine\":1}")
	write(t, Beside(there, Audits)+"/2027.json", "{}")
	aside := there + ".before"
	require.NoError(t, PutBack(came[0].Path, there, aside))
	assert.Equal(t, "version = 1", read(t, Beside(there, Criteria)))
	assert.Equal(t, "version = 2", read(t, aside+Criteria))
	assert.Equal(t, "{\"mine\":1}", read(t, Beside(there, Audits)+"/2026.json"), "an audit that is there stays")
	assert.FileExists(t, Beside(there, Audits)+"/2027.json")
}

// A copy of records alone, as the command line makes it, leaves targets as they are.
func TestACopyOfRecordsAlone(t *testing.T) {
	h, path := withBeside(t)
	plain := filepath.Join(t.TempDir(), "plain.db")
	db, err := sqlite.Open(t.Context(), plain)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	require.NoError(t, h.TakeIn(t.Context(), plain, path, time.Unix(5, 0).UTC(), nil))
	list, err := h.Copies(path)
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.NoError(t, PutBack(list[0].Path, path, ""))
	assert.Equal(t, "version = 1", read(t, Beside(path, Criteria)))
}

// Two databases of one name in different places are never offered each other's copies, and
// a copy put back leaves the folder in which a database lies as open as it was.
func TestCopiesOfADatabaseElsewhere(t *testing.T) {
	h, path := withBeside(t)
	shared := filepath.Join(t.TempDir(), "shared")
	require.NoError(t, os.Mkdir(shared, 0o755))
	there := filepath.Join(shared, filepath.Base(path))
	db, err := sqlite.Open(t.Context(), there)
	require.NoError(t, err)
	defer db.Close()
	list, err := h.Copies(there)
	require.NoError(t, err)
	assert.Empty(t, list, "the copy is of another practice")
	made, err := h.BackUp(t.Context(), db, time.Unix(1, 0).UTC(), nil)
	require.NoError(t, err)
	list, err = h.Copies(there)
	require.NoError(t, err)
	require.Len(t, list, 1)
	list, err = h.Copies(path)
	require.NoError(t, err)
	assert.Len(t, list, 1)
	assert.NotEqual(t, made.Path, list[0].Path)

	require.NoError(t, PutBack(list[0].Path, there, ""))
	assert.FileExists(t, Beside(there, Criteria))
	info, err := os.Stat(shared)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o755), info.Mode().Perm(), "others may use the folder")
}

// What is no copy, or holds more than one, is refused and leaves nothing.
func TestWhatIsNoCopy(t *testing.T) {
	h, path := withBeside(t)
	database := filepath.Join(t.TempDir(), "some.db")
	db, err := sqlite.Open(t.Context(), database)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	good := read(t, database)
	packed := func(parts ...string) string {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for i := 0; i+1 < len(parts); i += 2 {
			w, err := z.Create(parts[i])
			require.NoError(t, err)
			_, err = w.Write([]byte(parts[i+1]))
			require.NoError(t, err)
		}
		require.NoError(t, z.Close())
		return b.String()
	}
	for name, content := range map[string]string{
		"empty": "", "text": "patient,course,tooth,movement", "a damaged database": good[:len(good)/2], "an empty archive": packed(),
		"no database": packed("east.criteria.toml", "version = 1"), "up the folders": packed("east.db", good, "east.audits/../../../x.json", "{}"),
		"another name": packed("east.db", good, "x.json", "{}"), "a key": packed("east.db", good, "east.key", "s"), "twice": packed("east.db", good, "east.db", good),
		"a hidden file": packed("east.db", good, "east.audits/.x.json", "{}"), "a drive": packed("east.db", good, "east.audits/c:x.json", "{}"),
		"a program": packed("east.db", good, "east.exe", "MZ"), "a database that is none": packed("east.db", "SQLite format 3\x00"),
	} {
		from := filepath.Join(t.TempDir(), "from")
		write(t, from, content)
		require.Error(t, h.TakeIn(t.Context(), from, path, time.Unix(9, 0).UTC(), nil), name)
	}
	list, err := h.Copies(path)
	require.NoError(t, err)
	assert.Len(t, list, 1)
	entries, err := os.ReadDir(filepath.Join(h.Folder(), copiesName))
	require.NoError(t, err)
	assert.Len(t, entries, 3, "the copy, its targets, its audits, and nothing else: %v", entries)
}
