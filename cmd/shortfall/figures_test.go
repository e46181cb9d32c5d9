package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const threeRows = "case,status,course,tooth,movement,planned,achieved,style\nP1,completed,1,13,rotation,-5,-4,none\nP2,completed,1,14,rotation,6,4,none\nP3,completed,1,44,rotation,7,4,none\n"

// Figures go into a folder that may be new; one of ours is replaced, another's
// of the same name is not, and then nothing is written.
func TestFiguresKeepWhatIsNotOurs(t *testing.T) {
	dir := t.TempDir()
	sheet := write(t, filepath.Join(dir, "cases.csv"), threeRows)
	folder, json := filepath.Join(dir, "talk"), filepath.Join(dir, "r.json")
	audit := func(args ...string) (int, string) {
		var errs bytes.Buffer
		code := run(context.Background(), append([]string{"audit", sheet, "--figures", folder, "--answer", "notation=fdi", "--answer", "positive=usual", "-q"}, args...), strings.NewReader(""), &bytes.Buffer{}, &errs)
		return code, errs.String()
	}
	code, said := audit()
	require.Zero(t, code, said)
	made := names(t, folder)
	require.Contains(t, made, "dots.svg")
	code, said = audit()
	require.Zero(t, code, said)
	assert.Equal(t, made, names(t, folder))

	write(t, filepath.Join(folder, "logo.svg"), "<svg/>")
	foreign := write(t, filepath.Join(folder, "dots.svg"), "<svg>by hand</svg>")
	code, said = audit("--json", json)
	assert.Equal(t, exit.CodeUsage, code)
	assert.Contains(t, said, "dots.svg exists and was not made by this command")
	assert.NoFileExists(t, json)
	code, said = audit("--force")
	require.Zero(t, code, said)
	ours, err := os.ReadFile(foreign)
	require.NoError(t, err)
	assert.NotContains(t, string(ours), "by hand")
	logo, err := os.ReadFile(filepath.Join(folder, "logo.svg"))
	require.NoError(t, err)
	assert.Equal(t, "<svg/>", string(logo))

	for _, bad := range []string{sheet, filepath.Join(dir, "no", "where")} {
		folder = bad
		code, said = audit()
		assert.Equal(t, exit.CodeUsage, code, said)
	}
}
