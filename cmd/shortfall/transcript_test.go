package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/template"
	"shortfall/sampledata"
)

var update = flag.Bool("update", false, "write the transcripts anew")

// shell runs command lines of the program in a folder.
func shell(t *testing.T, line string) (code int, stdout, stderr string) {
	t.Helper()
	fields := splitLine(line)
	require.Equal(t, "shortfall", fields[0], line)
	var in io.Reader = strings.NewReader("")
	for i, f := range fields {
		if f == "<" {
			data, err := os.ReadFile(fields[i+1])
			require.NoError(t, err)
			in, fields = bytes.NewReader(data), fields[:i]
			break
		}
	}
	var out, errs bytes.Buffer
	code = run(context.Background(), fields[1:], in, &out, &errs)
	return code, out.String(), errs.String()
}

// splitLine splits a command line at spaces outside quotation marks.
func splitLine(line string) []string {
	var out []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

// workplace is a temporary folder, the current one for the test, with the
// files that the transcripts speak of; temporary databases go to a folder of
// their own, whose path it returns.
func workplace(t *testing.T) (temp string) {
	t.Helper()
	sample, err := filepath.Abs("../../sampledata")
	require.NoError(t, err)
	temp = t.TempDir()
	t.Setenv("TMPDIR", temp)
	t.Chdir(t.TempDir())
	for _, name := range []string{"practice.xlsx", "practice.csv", "dirty.csv"} {
		data, err := os.ReadFile(filepath.Join(sample, name))
		require.NoError(t, err)
		write(t, name, string(data))
	}
	small, err := smallPractice()
	require.NoError(t, err)
	write(t, "small.xlsx", small)
	workbook, _ := os.ReadFile("practice.xlsx")
	write(t, "truncated.xlsx", string(workbook[:len(workbook)/2]))
	write(t, "empty.csv", "")
	write(t, "own.csv", "patient code;treatment course;tooth no;movement;predicted (deg);actual (deg);attachment\n"+
		"A1;initial;13;rotation;12,5;8,0;own design\nA1;initial;44;rotation;-9,5;-5,0;none\nB2;R1;23;rotation;7,0;n/a;software\n")
	write(t, "persons.csv", "chartno,patient name,date of birth,status,course,tooth,axis,planned,achieved,style\n"+
		"4711,Invented Person,1990-05-17,completed,1,13,rotation,12,8,none\n4712,Another Nobody,2008-11-02,completed,1,44,rotation,9,5,none\n")
	write(t, "named.csv", "case,status,course,tooth,axis,planned,achieved,style\n"+
		"anna.bauer@example.org,completed,1,13,rotation,12,8,none\nC2,completed,1,44,rotation,9,5,none\n")
	write(t, "photo.xlsx", "\x89PNG\r\n\x1a\n and so on")
	write(t, "notes.db", "these are notes, and not a database, however long they may be.")
	write(t, "other.json", `{"tool": "another"}`)
	write(t, "letter.pdf", "%PDF-1.4 a letter to somebody")
	return temp
}

// smallPractice is a workbook of eight invented cases, made once; larger that of three times as many.
var (
	smallPractice = sync.OnceValues(func() (string, error) { return practiceOf(8) })
	larger        = sync.OnceValues(func() (string, error) { return practiceOf(24) })
)

// practiceOf is a workbook of some invented cases.
func practiceOf(cases int) (string, error) {
	p := sampledata.Default()
	p.Cases = cases
	small, _ := sampledata.Generate(p, 1)
	var b bytes.Buffer
	err := template.WriteDataset(&b, small, template.Meta{Title: "A small practice", Invented: true})
	return b.String(), err
}

// unstable is what differs between machines and runs.
var unstable = []struct {
	pattern     *regexp.Regexp
	replacement string
}{
	{regexp.MustCompile(`go1\.\S+ \w+/\w+`), "go1.X OS/ARCH"},
	{regexp.MustCompile(` \(commit [^)]*\)`), ""},
	{regexp.MustCompile(`(?m)(^  - .*\n(?:^    .*\n)*)+`), "  - (the findings)\n"}, // their wording is for the audit's own tests
	{regexp.MustCompile(`(?m)^  info .*\n`), ""},                                   // so are what ingest notes in passing
	{regexp.MustCompile(`open /\S*/`), "open .../"},
}

// TestTranscripts runs the sessions under testdata: after "$" a command, then
// "-->" and its exit code, then its standard output; lines of standard error
// begin with "!". A session shares one folder.
func TestTranscripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			path, err := filepath.Abs(file)
			require.NoError(t, err)
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			temp := workplace(t)
			got := replaySession(t, string(want))
			assert.Empty(t, names(t, temp), "the temporary folder is empty again")
			if *update {
				require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
				return
			}
			if got != string(want) {
				t.Errorf("%s; if it is meant, run the tests with -update", firstDifference(string(want), got))
			}
		})
	}
}

func replaySession(t *testing.T, session string) string {
	t.Helper()
	var b strings.Builder
	for line := range strings.Lines(session) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "#") {
			fmt.Fprintln(&b, line)
		}
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		command, _, _ = strings.Cut(command, " --> ")
		code, stdout, stderr := shell(t, command)
		fmt.Fprintf(&b, "$ %s --> %d\n%s", command, code, stdout)
		for line := range strings.Lines(stderr) {
			fmt.Fprintf(&b, "! %s", line)
		}
	}
	text := b.String()
	for _, u := range unstable {
		text = u.pattern.ReplaceAllString(text, u.replacement)
	}
	return text
}

// firstDifference shows where two texts part, with the command before it.
func firstDifference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	command := ""
	for i := range max(len(a), len(b)) {
		x, y := "(end)", "(end)"
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if strings.HasPrefix(x, "$ ") {
			command = x
		}
		if x != y {
			return fmt.Sprintf("after %q\nwant: %s\n got: %s", command, x, y)
		}
	}
	return "no difference"
}
