package main

import (
	"os"
	"strings"
	"testing"

	"shortfall/cmd/exit"
	"shortfall/cmd/verb"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// prepared adds the files that the examples of the help texts speak of.
func prepared(t *testing.T) {
	t.Helper()
	workplace(t)
	small, err := smallPractice()
	require.NoError(t, err)
	sheet, err := os.ReadFile("practice.csv")
	require.NoError(t, err)
	head := strings.Join(strings.SplitAfterN(string(sheet), "\n", 60)[:59], "")
	head = strings.NewReplacer("MOONQUAY", "EASTERLY", "MQ-", "EA-").Replace(head) // cases.xlsx has the same pseudonyms
	write(t, "small.xlsx", small)
	write(t, "cases.xlsx", small)
	write(t, "january.csv", head)
	write(t, "february.csv", head)
	for _, line := range []string{
		"shortfall ingest -q --db clinic.db cases.xlsx",
		"shortfall audit -q --db clinic.db --json results.json",
		"shortfall template -q --of criteria -o criteria.toml",
	} {
		code, _, stderr := shell(t, line)
		require.Equal(t, exit.CodeOK, code, stderr)
	}
}

// TestExamplesOfTheHelpTextsRun executes every line of every example.
func TestExamplesOfTheHelpTextsRun(t *testing.T) {
	var lines []string
	var collect func(*cobra.Command)
	collect = func(c *cobra.Command) {
		if c.Name() != "help" && c.Name() != "completion" && c.Runnable() {
			assert.NotEmpty(t, c.Example, "%s has no example", c.CommandPath())
			assert.NotEmpty(t, c.Short, "%s has no summary", c.CommandPath())
		}
		for line := range strings.Lines(c.Example) {
			lines = append(lines, strings.TrimSpace(line))
		}
		for _, sub := range c.Commands() {
			collect(sub)
		}
	}
	collect(verb.Program{}.Commands())
	require.Greater(t, len(lines), 10)
	prepared(t)
	for _, line := range lines {
		if line == "shortfall" || strings.HasPrefix(line, "shortfall open") || strings.Contains(line, "postgres://") {
			continue // goes on until it is ended: TestOpen; needs a server: TestServer...
		}
		if strings.HasPrefix(line, "shortfall template") {
			require.NoError(t, os.Remove(line[strings.LastIndex(line, " ")+1:])) // a template never replaces a file
		}
		code, _, stderr := shell(t, line)
		assert.Equal(t, exit.CodeOK, code, "%s\n%s", line, stderr)
		if strings.HasPrefix(line, "shortfall template") {
			small, err := os.ReadFile("small.xlsx")
			require.NoError(t, err)
			write(t, "cases.xlsx", string(small))
		}
	}
}

// TestReadmeCommandsRun executes what the README tells a reader to type.
func TestReadmeCommandsRun(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	prepared(t)
	require.NoError(t, os.Mkdir("sampledata", 0o700))
	for name, from := range map[string]string{"practice.xlsx": "small.xlsx", "dirty.csv": "dirty.csv"} { // the sample whole: TestGoldenHashes
		data, err := os.ReadFile(from)
		require.NoError(t, err)
		write(t, "sampledata/"+name, string(data))
	}
	ran := 0
	for line := range strings.Lines(string(readme)) {
		for _, prefix := range []string{"go run ./cmd/shortfall ", "shortfall ", "$ shortfall "} {
			if rest, ok := strings.CutPrefix(strings.TrimSpace(line), prefix); ok && strings.Contains(line, "--") {
				code, _, stderr := shell(t, "shortfall "+rest)
				want := []int{exit.CodeOK}
				if strings.Contains(rest, "dirty") {
					want = []int{exit.CodeData}
				}
				assert.Contains(t, want, code, "%s\n%s", line, stderr)
				ran++
				break
			}
		}
	}
	assert.Positive(t, ran)
}
