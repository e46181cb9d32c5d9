package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHiddenCharactersAreShown(t *testing.T) {
	for text, want := range map[string]string{
		"plain\ttext\n":                   "plain\ttext\n",
		"\x1b[2J":                         `\u001b[2J`,
		"a\rb":                            `a\u000db`,
		"C1 \u009b31m":                    `C1 \u009b31m`,
		"\x7f":                            `\u007f`,
		"evil\u202exslx.txt":              `evil\u202exslx.txt`,
		"\u2066a\u2069\u200b\ufeff\u061c": `\u2066a\u2069\u200b\ufeff\u061c`,
		"a\u2028b":                        `a\u2028b`,
		"bad \xff\xfe":                    `bad \xff\xfe`,
		"Müller 山田 °":                     "Müller 山田 °",
		"tag \U000e0041":                  `tag \U000e0041`,
	} {
		var b bytes.Buffer
		v := &visible{w: &b}
		for _, c := range []byte(text) { // however the bytes come
			_, err := v.Write([]byte{c})
			require.NoError(t, err)
		}
		assert.Equal(t, want, b.String())
	}
	var b bytes.Buffer
	line := []byte(`{"a":"` + "x\u202ey" + `"}`)
	_, err := (&visible{w: &b}).Write(line)
	require.NoError(t, err)
	var got map[string]string
	require.NoError(t, json.Unmarshal(b.Bytes(), &got), "JSON stays valid")
	assert.Equal(t, "x\u202ey", got["a"])
}

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

// failing is standard output on a full disk.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestOutputThatCannotBeWrittenIsAnError(t *testing.T) {
	for _, args := range [][]string{{"version"}, {"schema"}, {"--help"}, {"explain"}, {"help", "audit"}} {
		var errs bytes.Buffer
		code := run(context.Background(), args, strings.NewReader(""), failing{}, &errs)
		assert.Equal(t, exitUnreadable, code, args)
		assert.Contains(t, errs.String(), "standard output could not be written", args)
	}
}
