package sheet

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file that is written while its parts are read is not taken for either of the two.
func TestAFileThatChangesIsNotRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.csv")
	require.NoError(t, os.WriteFile(path, []byte("case\nP1\n"), 0o600))
	f, info, err := openPlain(path, DefaultLimits())
	require.NoError(t, err)
	defer f.Close()
	assert.False(t, changed(f, info))
	require.NoError(t, os.WriteFile(path, []byte("case\nP1\nP2\n"), 0o600))
	assert.True(t, changed(f, info))
	require.NoError(t, os.WriteFile(path, []byte("case\nP2\n"), 0o600))
	require.NoError(t, os.Chtimes(path, info.ModTime().AddDate(0, 0, 1), info.ModTime().AddDate(0, 0, 1)))
	assert.True(t, changed(f, info))
}
