package corpus

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// A mutation takes from a book what gives its records a meaning; false where the
// book has no such thing.
var mutations = map[string]func(*sheet.Book) bool{
	"direction column": func(b *sheet.Book) bool { return dropColumns(b, columns.Direction) },
	"side column": func(b *sheet.Book) bool {
		return dropColumns(b, columns.Side, columns.Arch, columns.Quadrant)
	},
	"sheet names": func(b *sheet.Book) bool {
		for i, s := range b.Sheets {
			s.Name = "Sheet" + strconv.Itoa(i+1)
		}
		return len(b.Sheets) > 1
	},
	"signs": dropSigns,
}

// dropSigns takes the signs of all amounts of a book whose plans, or positions, carry
// any. Where directions are in words and only an outcome here and there went the
// wrong way, its sign is news that nothing else of a sheet can tell.
func dropSigns(b *sheet.Book) bool {
	bare := func(s string) string { return strings.TrimLeft(s, "-\u2212\u2013") }
	amount := func(c sheet.Cell) bool {
		return bare(c.Text) != "" && strings.Trim(bare(c.Text), "0123456789.,") == ""
	}
	found := false
	for _, t := range layout.Asking(b, nil, &question.Asker{}).Tables {
		cols := []int{t.Find(columns.Planned), t.Find(columns.StartPosition), t.Find(columns.TargetPosition)}
		for _, p := range t.Pairs {
			cols = append(cols, p.Cols[columns.Planned])
		}
		for _, r := range t.Sheet.Rows {
			for _, c := range r.All() {
				found = found || r.Number >= t.Body && slices.Contains(cols, int(c.Col)) && amount(c) && bare(c.Text) != c.Text
			}
		}
	}
	each(b, func(c *sheet.Cell) {
		if amount(*c) {
			c.Text = bare(c.Text)
		}
	})
	return found
}

func each(b *sheet.Book, f func(*sheet.Cell)) {
	for _, s := range b.Sheets {
		for i := range s.Rows {
			for _, c := range s.Rows[i].All() {
				f(&c)
				s.Rows[i].Put(c)
			}
		}
	}
}

// dropColumns takes the columns of some fields out of every sheet, with their headers.
func dropColumns(b *sheet.Book, fields ...columns.Field) bool {
	found := false
	for _, t := range layout.Asking(b, nil, &question.Asker{}).Tables {
		for _, f := range fields {
			col := t.Find(f)
			if col == 0 {
				continue
			}
			found = true
			for i := range t.Sheet.Rows {
				t.Sheet.Rows[i].Remove(col)
			}
		}
	}
	return found
}

// Without its directions, sides, sheet names or signs no sheet of the corpus gives
// records that are not meant: it asks, refuses, or still has what it needs. Where it
// asks, the first choice that leads on is taken only for what is not about the thing
// that was taken away; questions about that thing end the reading.
func TestCorpusMutations(t *testing.T) {
	truths, err := filepath.Glob(filepath.Join("..", "testdata", "corpus", "*.truth.json"))
	require.NoError(t, err)
	tried, asked, refused, right := map[string]int{}, 0, 0, 0
	for i, path := range truths {
		if i%15 > 0 && os.Getenv("SHORTFALL_LONG") == "" {
			continue
		}
		want := readTruth(t, path)
		if want.Kind == "unreadable" {
			continue
		}
		for _, file := range sheetsBeside(t, path) {
			for _, name := range slices.Sorted(maps.Keys(mutations)) {
				book, err := sheet.OpenContext(t.Context(), file, sheet.Limits{})
				require.NoError(t, err)
				if !mutations[name](book) {
					continue
				}
				tried[name]++
				s := score{file: filepath.Base(file), truth: want}
				b, err := ingest.FromBook(context.Background(), book, ingest.Options{Answers: factsAlone(t, file, want)})
				switch {
				case len(questionsOf(err)) > 0:
					asked++
				case err != nil:
					refused++
				case b.Problems[0].Rule == string(rules.StyleNotFound):
					refused++ // it is the first thing said
				default:
					s.judge(b, 0)
					right++
					assert.NotEqual(t, silentlyWrong, s.outcome, "%s without its %s: %s", s.file, name, s.why)
				}
			}
		}
	}
	t.Logf("%v tried: %d asked, %d refused, %d accepted and right or in part", tried, asked, refused, right)
	for name := range mutations {
		assert.Positive(t, tried[name], "no sheet of the corpus has %s", name)
	}
}

// factsAlone are the answers that the owner of the whole sheet gives, so that what
// is asked beyond them is asked for what was taken away.
func factsAlone(t *testing.T, file string, want truth) question.Answers {
	given := question.Answers{}
	for range mostAnswers {
		_, err := ingest.Read(t.Context(), file, ingest.Options{Answers: given})
		for _, q := range questionsOf(err) {
			if word := answerOf(q, want); word != "" {
				given[q.ID] = word
			}
		}
	}
	return given
}

func sheetsBeside(t *testing.T, truth string) []string {
	all, err := filepath.Glob(strings.TrimSuffix(truth, ".truth.json") + ".*")
	require.NoError(t, err)
	return slices.DeleteFunc(all, func(p string) bool { return strings.HasSuffix(p, ".json") })
}
