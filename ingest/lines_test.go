package ingest

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Every physical line of a text is read, rejected or blank, whatever ends it: by
// count against a plain scan of the bytes.
func TestEveryLineEndCounts(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, ends := range [][]string{{"\n"}, {"\r"}, {"\r\n"}, {"\r", "\n"}, {"\r\n", "\n"}, {"\r", "\r\n", "\n"}} {
		for _, last := range []bool{true, false} {
			var b strings.Builder
			b.WriteString("case,course,tooth,axis,planned,achieved,style" + ends[0])
			lines := 40
			for i := range lines {
				fmt.Fprintf(&b, "C-%d,1,%d,rotation,-%d,-3,none", i, 31+i%8, 4+i%9)
				if i < lines-1 || last {
					b.WriteString(ends[rng.IntN(len(ends))])
				}
			}
			path := filepath.Join(t.TempDir(), "cases.csv")
			require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o600))
			got, err := Read(t.Context(), path, Options{})
			require.NoError(t, err, "%q", ends)
			c := got.Counts()
			assert.Equal(t, lines, c.Read, "%q", ends)
			assert.Equal(t, lines, c.Accepted+c.Rejected+c.Blank, "%q", ends)
			assert.Len(t, got.Movements, lines, "%q", ends)
		}
	}
}

// A sheet that is called as one of ours and holds a table is read; ours is not.
func TestSheetNamedLikeOneOfOursIsRead(t *testing.T) {
	for _, name := range []string{"lists", "Instructions"} {
		f := excelize.NewFile()
		require.NoError(t, f.SetSheetName("Sheet1", name))
		for i, row := range [][]any{
			{"case", "course", "tooth", "axis", "planned", "achieved", "style"},
			{"C-1", 1, 43, "rotation", -12, -8, "none"},
			{"C-2", 1, 34, "rotation", -9, -8, "none"},
		} {
			require.NoError(t, f.SetSheetRow(name, fmt.Sprintf("A%d", i+1), &row))
		}
		path := filepath.Join(t.TempDir(), "cases.xlsx")
		require.NoError(t, f.SaveAs(path))
		b, err := Read(t.Context(), path, Options{})
		require.NoError(t, err, name)
		assert.Len(t, b.Movements, 2, name)
	}
}

// A sheet of which nothing can be read is given up after so many rows, with the reason of
// the last, and not refused row by row; one good row in front is reason to read on.
func TestHopelessSheetIsGivenUp(t *testing.T) {
	read := func(rows ...string) (rejected int, err error) {
		path := filepath.Join(t.TempDir(), "cases.csv")
		text := "case,course,tooth,axis,planned,achieved,style\n" + strings.Join(rows, "")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		b, err := Read(t.Context(), path, Options{})
		if err != nil {
			return 0, err
		}
		return len(b.Rejected), nil
	}
	bad := make([]string, hopeless+1)
	for i := range bad {
		bad[i] = fmt.Sprintf("C-%d,1,43,rotation,%d,nothing to speak of,none\n", i, 24*(i%2)-12)
	}
	good := "C-0,1,43,rotation,12,8,none\n"
	_, err := read(bad...)
	require.ErrorContains(t, err, fmt.Sprintf("none of the first %d rows could be read", hopeless))
	stopped, ok := errors.AsType[casebook.Problem](err)
	require.True(t, ok, "%v", err)
	assert.Equal(t, string(rules.FileStopped), stopped.Rule, "the rest was not looked at")
	few := often(hopeless - 1)
	_, err = read(bad[:few]...)
	require.ErrorContains(t, err, fmt.Sprintf("none of the %d rows could be read", few))
	rejected, err := read(append([]string{good}, bad...)...)
	require.NoError(t, err)
	assert.Equal(t, hopeless+1, rejected)
}
