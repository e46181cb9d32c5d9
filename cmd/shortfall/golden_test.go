package main

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
)

const goldenHashes = "testdata/golden.sha256"

// TestGoldenHashes holds the results and the workbook of the sample and of every
// readable fixture to the byte: a move inside the program must leave them as they
// are. A change that is meant rewrites the file with -update and says why. Everyday it is
// a small practice with all that is declared (the sample is in the transcript main_job) and every
// 96th fixture, with -short that practice alone; with SHORTFALL_LONG, and where the file is rewritten, it is all.
func TestGoldenHashes(t *testing.T) {
	golden, err := filepath.Abs(goldenHashes)
	require.NoError(t, err)
	fixtures, err := filepath.Glob("../../ingest/testdata/files/*")
	require.NoError(t, err)
	require.NotEmpty(t, fixtures)
	for i := range fixtures {
		fixtures[i], err = filepath.Abs(fixtures[i])
		require.NoError(t, err)
	}
	workplace(t)
	write(t, "criteria.toml", declare.CriteriaExample)
	write(t, "primary.toml", declare.CriteriaExample+"\n[primary]\ndirection = \"extrusion\"\ntooth_class = \"incisor\"\ndeclared = \"2023-01\"\n")

	lines := []string{}
	add := func(name, line string) {
		_ = os.Remove("out.json")
		_ = os.Remove("out.xlsx")
		shell(t, line+" --quiet --json out.json --xlsx out.xlsx")
		if _, err := os.Stat("out.json"); err != nil {
			return // nothing in it that can be audited
		}
		lines = append(lines, fmt.Sprintf("%s  json %s  xlsx %s", name, hashOf(t, "out.json"), hashOf(t, "out.xlsx")))
	}
	all := *update || os.Getenv("SHORTFALL_LONG") != ""
	if all {
		add("sample", "shortfall audit practice.xlsx")
		add("sample, shared", "shortfall audit practice.xlsx --shared")
		add("sample, criteria", "shortfall audit practice.csv --criteria primary.toml")
		add("sample, criteria, shared", "shortfall audit practice.csv --criteria criteria.toml --shared --teeth universal")
	}
	small, err := larger()
	require.NoError(t, err)
	write(t, "small.xlsx", small)
	add("small, criteria, shared", "shortfall audit small.xlsx --criteria criteria.toml --shared --teeth universal")
	if all {
		add("small", "shortfall audit small.xlsx")
	}
	if testing.Short() && !*update { // the fixtures take their time
		compareGolden(t, golden, lines, false)
		return
	}
	for i, f := range fixtures {
		if !all && i%96 > 0 {
			continue
		}
		name := filepath.Base(f)
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		write(t, name, string(data))
		add(name, "shortfall audit "+name)
	}
	if all {
		require.Greater(t, len(lines), len(fixtures)/2, "most fixtures can be audited")
	}
	compareGolden(t, golden, lines, all)
}

// compareGolden names every line that differs from the golden file, and lines that lack
// where all are there to be compared.
func compareGolden(t *testing.T, path string, lines []string, all bool) {
	t.Helper()
	text := strings.Join(lines, "\n") + "\n"
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return
	}
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	want := strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
	for _, l := range lines {
		if !slices.Contains(want, l) {
			t.Errorf("not as it was: %s", l)
		}
	}
	if all && len(lines) != len(want) {
		t.Errorf("%d files audited, %d before", len(lines), len(want))
	}
	if t.Failed() {
		t.Log("where it is meant, run with -update and say why in the commit")
	}
}

func hashOf(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return fmt.Sprintf("%x", sha256.Sum256(data))[:16]
}
