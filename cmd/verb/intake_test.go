package verb

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/ingest"
)

// A file that a person looked at and left out could be read.
func TestCodeOfAFileLeftOut(t *testing.T) {
	assert.Equal(t, exit.CodeData, codeOfFiles([]fileReport{{unread: errLeftOut}}))
}

// As many points are announced as are put one by one.
func TestPointsAsTheyArePut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.csv")
	require.NoError(t, os.WriteFile(path, []byte("patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK1,2,44,torque,5,4,software\n"), 0o600))
	var shown bytes.Buffer
	a := &app{in: strings.NewReader("\n\n"), err: &shown, Program: Program{Read: ingest.Read}}
	_, err := a.readAsking(t.Context(), path, &reading{asks: true}, console.NewProgress(&shown, true))
	require.NoError(t, err)
	assert.Contains(t, shown.String(), "s.csv leaves 1 point open.")
	assert.Contains(t, shown.String(), "1 of 1: ")
}
