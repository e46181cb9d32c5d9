package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A sheet of which nothing can be read is given up after so many rows, with the reason of
// the last, and not refused row by row; one good row in front is reason to read on.
func TestHopelessSheetIsGivenUp(t *testing.T) {
	read := func(rows ...string) (rejected int, err error) {
		path := filepath.Join(t.TempDir(), "cases.csv")
		text := "case,course,tooth,axis,planned,achieved,style\n" + strings.Join(rows, "")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		b, err := Read(t.Context(), path, Options{})
		if err != nil {
			return 0, err
		}
		return len(b.Rejected), nil
	}
	bad := make([]string, hopeless+1)
	for i := range bad {
		bad[i] = fmt.Sprintf("C-%d,1,43,rotation,%d,nothing to speak of,none\n", i, 24*(i%2)-12)
	}
	good := "C-0,1,43,rotation,12,8,none\n"
	_, err := read(bad...)
	require.ErrorContains(t, err, fmt.Sprintf("none of the first %d rows could be read", hopeless))
	_, err = read(bad[:hopeless-1]...)
	require.ErrorContains(t, err, fmt.Sprintf("none of the %d rows could be read", hopeless-1))
	rejected, err := read(append([]string{good}, bad...)...)
	require.NoError(t, err)
	assert.Equal(t, hopeless+1, rejected)
}
