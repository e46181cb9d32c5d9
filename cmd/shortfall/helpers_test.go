package main

import (
	"context"
	"io"
	"os"
	"testing"

	"shortfall/cmd/verb"

	"github.com/stretchr/testify/require"
)

// run is the program but for the process.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return verb.Program{Version: version}.Run(ctx, args, stdin, stdout, stderr)
}

func write(t *testing.T, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// names lists a folder, hidden files too.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}
