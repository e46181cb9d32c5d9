package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
)

// Whatever a file holds, what is printed about it holds nothing that a terminal
// would act on.
func TestNothingHiddenIsPrinted(t *testing.T) {
	dir := t.TempDir()
	bad := "K\x1b]0;title\x07\u202e\u009b2J\x7f1"
	path := filepath.Join(dir, "ca\u202ese\x1b[31ms.csv")
	text := "case,course,tooth,axis,planned,achieved,st\x1byle\n" + bad + ",1,43,rotation,-5,4,none\nA2," + bad + ",44,x" + bad + ",6,4,none\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Skip("no such names here")
	}
	for _, args := range [][]string{
		{"ingest", "--db", filepath.Join(dir, "a\x1b.db"), path},
		{"audit", path, "--pdf", filepath.Join(dir, "a.pdf")},
		{"map", path},
		{"records", "--db", filepath.Join(dir, "a\x1b.db")},
		{"case", "--db", filepath.Join(dir, "a\x1b.db"), bad, "--pdf", filepath.Join(dir, "b.pdf")},
		{"x" + bad},
		{"ingest", "--" + bad},
		{"explain", bad},
		{"ingest", "--db", filepath.Join(dir, bad, "no.db"), path},
	} {
		var out, errs bytes.Buffer
		run(t.Context(), args, strings.NewReader(""), &out, &errs)
		for _, r := range out.String() + errs.String() {
			assert.False(t, unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Cf, r), "%v printed %U", args[0], r)
		}
	}
}

// The name of a person is not printed, nor what would look like another line.
func TestNoNameIsPrinted(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, want := range map[string]string{
		"Harriet Thornton.xlsx":               "(name withheld)",
		"a.xlsx\nshortfall: all is well.xlsx": "a.xlsx\uFFFDshortfall: all is well.xlsx",
	} {
		var out bytes.Buffer
		assert.Equal(t, exit.CodeOK, run(t.Context(), []string{"template", "-o", name}, strings.NewReader(""), &out, &out), out.String())
		assert.Equal(t, "Written: "+want+"\n", out.String())
	}
}

// failing is standard output on a full disk.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestOutputThatCannotBeWrittenIsAnError(t *testing.T) {
	for _, args := range [][]string{{"version"}, {"schema"}, {"--help"}, {"explain"}, {"help", "audit"}} {
		var errs bytes.Buffer
		code := run(context.Background(), args, strings.NewReader(""), failing{}, &errs)
		assert.Equal(t, exit.CodeUnreadable, code, args)
		assert.Contains(t, errs.String(), "standard output could not be written", args)
	}
}
