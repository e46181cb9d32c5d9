package pseudonym

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/privacy/seeded"
	"shortfall/ingest/privacy/unseen"
	"shortfall/ingest/sheet"
)

var (
	corpusSize = flag.Int("corpus", 0, "identifiers, and clean values, of the corpus; else 20, and 1600 with SHORTFALL_LONG")
	corpusSeed = flag.Uint64("corpusseed", 1, "seed of the corpus")
	corpusList = flag.Bool("corpuslist", false, "list every miss of the corpus")
)

// around is a workbook of a practice with nothing in it that identifies anybody.
func around() *sheet.Book {
	b := &sheet.Book{File: casebook.File{Name: "cases.xlsx", SHA256: strings.Repeat("0", 64)}, Format: sheet.Workbook}
	add := func(name string, first int, rows ...[]string) {
		s := &sheet.Sheet{Name: name}
		for i, r := range rows {
			row := s.NewRow(first + i)
			for j, text := range r {
				if text == "" {
					continue
				}
				kind := sheet.String
				if strings.Trim(text, "-0123456789.") == "" && i > 0 && j > 2 {
					kind = sheet.Number
				}
				row.Add(sheet.Cell{Text: text, Col: int32(j + 1), Kind: kind})
			}
			s.Rows = append(s.Rows, row)
		}
		b.Sheets = append(b.Sheets, s)
	}
	add("cases", 3,
		[]string{"case", "practice", "clinician", "age band", "start month", "status", "planned aligners", "wear", "tray type"},
		[]string{"C-001", "P1", "K1", "12-17", "2024-03", "completed", "24", "good", "thin"},
		[]string{"C-002", "P1", "K2", "30-44", "2024-04", "completed", "31", "fair", "thick"},
		[]string{"C-003", "P1", "K1", "18-29", "2024-06", "completed", "18", "poor", "thin"})
	add("movements", 3,
		[]string{"case", "course", "tooth", "axis", "planned", "achieved", "style", "shape", "staging", "lost", "note"},
		[]string{"C-001", "initial", "43", "rotation", "-12.5", "-8", "none", "", "combined", "no"},
		[]string{"C-001", "initial", "44", "rotation", "14", "9.5", "clinician-designed", "bevelled", "combined", "no"},
		[]string{"C-002", "initial", "31", "tip", "-6", "-5.5", "software-suggested", "ellipsoid", "sequenced", "yes"},
		[]string{"C-003", "refinement 1", "41", "torque", "5", "2", "none", "", "sequenced", "no"})
	b.Sheets[1].Rows[0] = b.Sheets[1].Rows[0].First(10)
	return b
}

var (
	caseColumn     = map[seeded.Place]int{seeded.InCase: 1, seeded.InPractice: 2, seeded.InClinician: 3, seeded.InAgeBand: 4, seeded.InMonth: 5, seeded.InStatus: 6, seeded.InCount: 7, seeded.InWear: 8, seeded.Unread: 9, seeded.Headless: 12}
	movementColumn = map[seeded.Place]int{seeded.InCourse: 2, seeded.InTooth: 3, seeded.InAxis: 4, seeded.InAmount: 5, seeded.InAchieved: 6, seeded.InStyle: 7, seeded.InShape: 8, seeded.InStaging: 9, seeded.InLost: 10}
)

// plant puts a value into a workbook.
func plant(v seeded.Value) *sheet.Book {
	b := around()
	cases, movements := b.Sheets[0], b.Sheets[1]
	kind := map[seeded.Kind]sheet.Kind{seeded.Text: sheet.String, seeded.Number: sheet.Number, seeded.Date: sheet.Date, seeded.Fault: sheet.ErrorValue}[v.Kind]
	put := func(s *sheet.Sheet, row, col int, text string, k sheet.Kind) {
		i, found := slices.BinarySearchFunc(s.Rows, row, func(r sheet.Row, n int) int { return r.Number - n })
		if !found {
			s.Rows = slices.Insert(s.Rows, i, s.NewRow(row))
		}
		s.Rows[i].Put(sheet.Cell{Text: text, Col: int32(col), Kind: k})
	}
	switch v.Place {
	case seeded.Above:
		put(movements, 1, 1, v.Text, kind)
	case seeded.Totals:
		put(movements, 8, 1, "Total", sheet.String)
		put(movements, 8, 9, v.Text, kind)
	case seeded.Aside:
		b.Sheets = append(b.Sheets, &sheet.Sheet{Name: "more", Rows: []sheet.Row{sheet.RowOf(4, sheet.Cell{Text: v.Text, Col: 2, Kind: kind})}})
	case seeded.InSheetName:
		cases.Name = v.Text
	case seeded.InFileName:
		b.File.Name = v.Text + ".xlsx"
	case seeded.InComment:
		b.Comments = []sheet.Comment{{Sheet: "cases", Ref: "B4", Text: v.Text}}
	case seeded.InProperty:
		b.Properties = []sheet.Property{{Name: "title", Value: v.Text}}
	case seeded.InCustom:
		b.Properties = []sheet.Property{{Name: "custom property a", Value: v.Text}}
	case seeded.InHeader:
		put(movements, 3, 12, v.Text, sheet.String)
		put(movements, 4, 12, "1", sheet.Number)
	case seeded.InCase:
		put(cases, 4, 1, v.Text, kind)
		put(movements, 4, 1, v.Text, kind)
		put(movements, 5, 1, v.Text, kind)
	default:
		if col := caseColumn[v.Place]; col > 0 {
			put(cases, 4, col, v.Text, kind)
		} else {
			put(movements, 4, movementColumn[v.Place], v.Text, kind)
		}
	}
	return b
}

// keeps reports whether a text holds a part of the identifier, however folded.
// What is short or a word of the layout counts only as the whole of a cell.
func keeps(text string, v seeded.Value) bool {
	text = strings.ToLower(norm.NFKC.String(text))
	for _, n := range append(slices.Clone(v.Needles), v.Text) {
		n = strings.ToLower(norm.NFKC.String(strings.TrimSpace(n)))
		switch {
		case n == "":
		case len([]rune(n)) > 6:
			if strings.Contains(text, n) {
				return true
			}
		default:
			for at := range allIndex(text, n) {
				if edge(text[:at], true) && edge(text[at+len(n):], false) {
					return true
				}
			}
		}
	}
	return false
}

func allIndex(text, n string) func(func(int) bool) {
	return func(yield func(int) bool) {
		for from := 0; ; {
			at := strings.Index(text[from:], n)
			if at < 0 || !yield(from+at) {
				return
			}
			from += at + 1
		}
	}
}

// edge: no letter or digit is beside a part of a text.
func edge(beside string, before bool) bool {
	var r rune
	if before {
		r, _ = utf8.DecodeLastRuneInString(beside)
	} else {
		r, _ = utf8.DecodeRuneInString(beside)
	}
	return !unicode.IsLetter(r) && !unicode.IsDigit(r)
}

// kept is all that a database would keep of a batch: the codes apart.
func kept(b *casebook.Batch) (codes, rest string) {
	var c, r strings.Builder
	for _, x := range b.Cases {
		fmt.Fprintln(&c, x.Value.ID, x.Value.Practice, x.Value.Clinician)
		x.Value.ID, x.Value.Practice, x.Value.Clinician = "", "", ""
		fmt.Fprintf(&r, "%+v\n", x.Value)
		original(&c, &r, x.Original.Cells())
	}
	for _, x := range b.Movements {
		original(&c, &r, x.Original.Cells())
		x.Original = casebook.Original{}
		fmt.Fprintf(&r, "%v %v %v\n", x.Value.Planned, x.Value.Achieved, x.Source.Sheet)
	}
	for _, x := range b.Rejected {
		original(&c, &r, x.Original.Cells())
		fmt.Fprintf(&r, "%+v %+v\n", x.Source, x.Reasons)
	}
	fmt.Fprintf(&r, "%+v %+v %+v\n", b.File, b.Problems, b.Sheets)
	return c.String(), r.String()
}

// original writes the cells of a row that are kept with it.
func original(codes, rest *strings.Builder, cells []casebook.Cell) {
	for _, c := range cells {
		switch c.Kept {
		case "":
		case "case", "practice", "clinician":
			fmt.Fprintln(codes, c.Text)
		default:
			fmt.Fprintln(rest, c.Header, "|", c.Text)
		}
	}
}

// The rates of both corpora, the one that grew with the screen and the one that was
// written without sight of it.
func TestCorpus(t *testing.T) {
	size := *corpusSize
	switch {
	case size > 0:
	case os.Getenv("SHORTFALL_LONG") != "":
		size = 1600
	default:
		size = 20
	}
	for name, c := range map[string]struct {
		identifiers, clean func(int, uint64) []seeded.Value
	}{
		"seeded": {seeded.Corpus, seeded.Clean}, "unseen": {unseen.Identifiers, unseen.Clean},
	} {
		t.Run(name, func(t *testing.T) { rates(t, c.identifiers(size, *corpusSeed), c.clean(size, *corpusSeed)) })
	}
}

// rates of a corpus: what identifies is refused or not kept, and in no copy at
// all; what is clean is read.
// Its length is that of the places in which a value is looked for.
func rates(t *testing.T, all, clean []seeded.Value) {
	dir := t.TempDir()
	misses := map[string][]string{}
	miss := func(what string, v seeded.Value) {
		misses[what] = append(misses[what], fmt.Sprintf("%-28s %-40s %q", v.Place, v.Class, v.Text))
	}
	classes := map[string]bool{}
	refused := 0
	for i, v := range all {
		classes[v.Class] = true
		b, err := ingest.FromBook(t.Context(), plant(v), ingest.Options{})
		if err != nil {
			refused++
			if keeps(err.Error(), v) {
				miss("said in a refusal", v)
			}
		} else {
			codes, rest := kept(b)
			if keeps(codes, v) {
				miss("kept as a code", v)
			}
			if keeps(rest, v) {
				miss("kept elsewhere", v)
			}
		}
		// What a copy would hold is looked at as records; every tenth is written too.
		c := &copier{key: testKey(), book: plant(v), reading: Options{}.reading()}
		b, err = c.read(t.Context())
		if err != nil {
			if keeps(err.Error(), v) {
				miss("said by pseudonymise", v)
			}
			continue
		}
		ds, err := c.recode(b)
		require.NoError(t, err)
		if keeps(fmt.Sprintf("%+v", *ds), v) {
			miss("in a copy", v)
		}
		if keeps(fmt.Sprint(c.summary), v) {
			miss("said by pseudonymise", v)
		}
		if i%10 != 0 {
			continue
		}
		dst := filepath.Join(dir, fmt.Sprintf("c%d.xlsx", i))
		if _, err := copyOf(t.Context(), plant(v), dst); err == nil && keeps(copied(t, dst), v) {
			miss("in a copy", v)
		}
	}
	for _, v := range clean {
		_, err := ingest.FromBook(t.Context(), plant(v), ingest.Options{})
		for _, p := range ingest.Problems(err) {
			if strings.HasPrefix(p.Rule, "identifier-") {
				miss("false alarm", v)
				break
			}
		}
	}
	n := len(all)
	share := func(what string, of int) float64 { return 100 * float64(len(misses[what])) / float64(of) }
	t.Logf("%d identifiers of %d classes: %d refused; %d kept as codes, %d kept elsewhere, %d in copies, %d said; refused or harmless %.2f %%",
		n, len(classes), refused, len(misses["kept as a code"]), len(misses["kept elsewhere"]), len(misses["in a copy"]),
		len(misses["said in a refusal"])+len(misses["said by pseudonymise"]), 100-share("kept as a code", n)-share("kept elsewhere", n))
	t.Logf("%d clean values: %d false alarms, %.2f %%", len(clean), len(misses["false alarm"]), share("false alarm", len(clean)))
	if *corpusList {
		for _, what := range slices.Sorted(maps.Keys(misses)) {
			t.Logf("%s:\n  %s", what, strings.Join(misses[what], "\n  "))
		}
	}
	assert.Empty(t, misses["in a copy"])
	assert.Empty(t, misses["said in a refusal"])
	assert.Empty(t, misses["said by pseudonymise"])
	assert.Empty(t, misses["kept elsewhere"])
	assert.LessOrEqual(t, share("kept as a code", n), 1.0)
	assert.Less(t, share("false alarm", len(clean)), 1.0)
}

// copied is all that a copy says: its cells, names, properties and comments.
func copied(t *testing.T, path string) string {
	b, err := sheet.Open(path, sheet.Limits{})
	require.NoError(t, err)
	var out strings.Builder
	fmt.Fprintln(&out, b.Properties, b.Comments)
	for _, s := range b.Sheets {
		if s.Name == columns.InstructionsSheet || s.Name == columns.ListsSheet {
			continue // the same in every copy
		}
		fmt.Fprintln(&out, s.Name)
		for _, r := range s.Rows {
			for _, c := range r.All() {
				fmt.Fprintln(&out, c.Text)
			}
		}
	}
	return out.String()
}

func copyOf(ctx context.Context, b *sheet.Book, dst string) (Summary, error) {
	return copyBook(ctx, b, dst, testKey(), Options{})
}
