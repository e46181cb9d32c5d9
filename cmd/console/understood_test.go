package console

import (
	"bufio"
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
)

const typedSheet = "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK1,2,44,torque,5,4,software\n"

func TestUnderstoodScreen(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("own.csv", []byte(typedSheet), 0o600))
	b, err := ingest.Read(t.Context(), "own.csv", ingest.Options{Answers: map[string]string{"positive": "usual"}})
	require.NoError(t, err)
	var out bytes.Buffer
	assert.True(t, Confirm(bufio.NewReader(strings.NewReader("what\n\n")), &out, "own.csv", b))
	for _, want := range []string{
		"initial 1, refinement 1 1", "none 1, software-suggested 1", "outcomes: measured 2", "teeth are read in FDI notation",
		"tooth 43, initial course, rotation mesial-out 10 deg planned, 8 deg achieved, attachment none",
	} {
		assert.Contains(t, strings.Join(strings.Fields(out.String()), " "), want)
	}
	assert.False(t, Confirm(bufio.NewReader(strings.NewReader("n\n")), &out, "own.csv", b))
	assert.False(t, Confirm(bufio.NewReader(strings.NewReader("")), &out, "own.csv", b), "nobody there keeps nothing")
}

// A list of cases shows how many are completed, and rows as they were read.
func TestUnderstoodCases(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("log.csv", []byte("case,start month,end month,status,refinements\nK1,2025-01,2025-12,completed,2\nK2,2025-02,,under treatment,0\n"), 0o600))
	b, err := ingest.Read(t.Context(), "log.csv", ingest.Options{})
	require.NoError(t, err)
	var out bytes.Buffer
	understood(&out, "log.csv", b)
	text := strings.Join(strings.Fields(out.String()), " ")
	assert.Contains(t, text, "cases: completed 1, under treatment 1")
	assert.Contains(t, text, "case K1, from 2025-01 to 2025-12, completed, 2 refinements")
	assert.NotContains(t, text, "outcomes")
}
