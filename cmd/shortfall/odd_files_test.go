//go:build !windows

package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oddly runs a command that must not wait for a pipe, read a device or crash.
func oddly(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	var out bytes.Buffer
	ended := make(chan int, 1)
	go func() { ended <- run(t.Context(), args, strings.NewReader(""), &out, &out) }()
	select {
	case code := <-ended:
		return code, out.String()
	case <-time.After(time.Minute):
		t.Fatalf("%v waits", args)
	}
	return 0, ""
}

// practiceHere is a small workbook with its database, results, key and mapping in a new folder.
func practiceHere(t *testing.T) {
	t.Helper()
	sample, err := os.ReadFile(filepath.Join("..", "..", "ingest", "testdata", "files", "op-clean.xlsx"))
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("c.xlsx", sample, 0o600))
	for _, args := range [][]string{
		{"ingest", "--db", "ok.db", "c.xlsx"},
		{"audit", "--db", "ok.db", "--json", "r.json"},
		{"map", "c.xlsx", "-o", "ok.toml"},
		{"pseudonymise", "c.xlsx", "-o", "copy.xlsx", "--key", "ok.key"},
	} {
		code, said := oddly(t, args...)
		require.Zero(t, code, said)
	}
}

// A pipe, a device or a folder in the place of any input is refused at once.
func TestInputsThatAreNoPlainFiles(t *testing.T) {
	practiceHere(t)
	require.NoError(t, syscall.Mkfifo("pipe", 0o600))
	require.NoError(t, os.Mkdir("folder", 0o700))
	for _, odd := range []string{"pipe", "folder", "/dev/zero", "/dev/full"} {
		if _, err := os.Stat(odd); err != nil {
			continue
		}
		for _, args := range [][]string{
			{"ingest", "--db", "new.db", odd},
			{"ingest", "--db", odd, "c.xlsx"},
			{"ingest", "--db", "new.db", "c.xlsx", "--map", odd},
			{"audit", odd},
			{"audit", "--db", odd},
			{"audit", "c.xlsx", "--map", odd, "--pdf", "a.pdf"},
			{"audit", "--db", "ok.db", "--criteria", odd},
			{"audit", "--db", "ok.db", "--orientations", odd},
			{"audit", "--db", "ok.db", "--since", odd},
			{"replay", odd, "--pdf", "a.pdf"},
			{"map", odd},
			{"pseudonymise", odd, "-o", "z.xlsx", "--key", "ok.key"},
			{"pseudonymise", "c.xlsx", "-o", "z.xlsx", "--key", odd},
			{"pseudonymise", "c.xlsx", "-o", "z.xlsx", "--key", "ok.key", "--map", odd},
			{"records", "--db", odd},
			{"case", "--db", odd, "X", "--pdf", "a.pdf"},
			{"export", "--db", odd, "-o", "z.csv"},
			{"profiles", "--db", odd},
			{"remove", "--db", odd, "X", "--reason", "y"},
			{"restore", "--db", odd, "X"},
			{"practice", "rename", "--db", odd, "X", "Y"},
		} {
			code, said := oddly(t, args...)
			assert.True(t, code >= exit.CodeUsage && code <= exit.CodeDatabase, "%v: %d %s", args, code, said)
			assert.NotContains(t, said, "internal error", "%v", args)
		}
	}
	for _, made := range []string{"z.xlsx", "z.csv", "a.pdf"} {
		assert.NoFileExists(t, made)
	}
}

// full is a device that takes nothing.
const full = "/dev/full"

// An output that cannot be written is an error of every verb, on standard output too.
func TestFullOutputs(t *testing.T) {
	if _, err := os.Stat(full); err != nil {
		t.Skip("no ", full)
	}
	practiceHere(t)
	for _, args := range [][]string{
		{"template", "-o", full},
		{"template", "--of", "criteria", "-o", full},
		{"map", "c.xlsx", "-o", full},
		{"ingest", "--db", "1.db", "c.xlsx", "--annotate", full},
		{"ingest", "--db", "2.db", "c.xlsx", "--json", full},
		{"audit", "c.xlsx", "--pdf", full},
		{"audit", "c.xlsx", "--html", full},
		{"audit", "c.xlsx", "--json", full},
		{"audit", "c.xlsx", "--xlsx", full},
		{"replay", "r.json", "--pdf", full},
		{"replay", "r.json", "--xlsx", full},
		{"export", "--db", "ok.db", "-o", full},
	} {
		if kind := args[len(args)-2]; (kind == "--html" || kind == "--xlsx") && os.Getenv("SHORTFALL_LONG") == "" {
			continue // written as the others are
		}
		code, said := oddly(t, args...)
		assert.Equal(t, exit.CodeUnreadable, code, "%v: %s", args, said)
	}
	for _, args := range [][]string{
		{"audit", "c.xlsx", "--json", "-"},
		{"audit", "c.xlsx", "--pdf", "a.pdf"},
		{"audit", "--db", "ok.db", "--json", "-"},
		{"ingest", "--db", "3.db", "c.xlsx"},
		{"ingest", "--db", "4.db", "c.xlsx", "--json", "-"},
		{"map", "c.xlsx"},
		{"records", "--db", "ok.db"},
		{"profiles", "--db", "ok.db"},
		{"schema"},
		{"replay", "r.json", "--json", "-"},
		{"explain", "tooth-unknown"},
		{"template", "-o", "t.xlsx"},
		{"export", "--db", "ok.db", "-o", "e.csv"},
		{"version"},
		{"pseudonymise", "c.xlsx", "-o", "copy2.xlsx", "--key", "ok.key"},
		{"--help"},
		{"help", "audit"},
	} {
		var errs bytes.Buffer
		code := run(context.Background(), args, strings.NewReader(""), failing{}, &errs)
		assert.Equal(t, exit.CodeUnreadable, code, "%v: %s", args, errs.String())
	}
}
