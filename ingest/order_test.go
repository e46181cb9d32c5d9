package ingest

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/apart"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

var reads = flag.Int("reads", 0, "how often each fixture is read for one order of everything; else 2 of every sixth, and 30 of all with SHORTFALL_LONG")

// often is how often to do everyday what is done n times with SHORTFALL_LONG.
func often(n int) int {
	if os.Getenv("SHORTFALL_LONG") != "" {
		return n
	}
	return n / 8
}

// No order comes about by accident: each fixture read again and again gives the
// same records, rejected rows and problems in the same order. (Go draws the order
// of a map anew each time, so that one that reached the output would show.)
func TestEveryReadIsTheSame(t *testing.T) {
	files, err := filepath.Glob("testdata/files/*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	n := *reads
	switch {
	case n > 0:
	case os.Getenv("SHORTFALL_LONG") != "":
		n = 30
	default:
		n = 2
	}
	for at, f := range files {
		if at%6 > 0 && n == 2 {
			continue // everyday every sixth
		}
		first := ""
		for i := range n {
			got := readAsText(t, f, Options{AllowIdentifiers: true})
			if i == 0 {
				first = got
			}
			if !assert.True(t, first == got, "%s, read %d: %s", f, i+1, differ(first, got)) {
				break
			}
		}
	}
}

// Sheets in which two of a thing meet: what is said of them comes in one order too.
// Its length is that of the list of sheets.
func TestPairsComeInOneOrder(t *testing.T) {
	const flat = "case,course,tooth,axis,planned,achieved,style\n"
	wide := "case,course,tooth,axis,planned,achieved,software attachment,own attachment\n"
	twice := func(line string) string { return line + line }
	chosen := asFile(t, "own.csv", ownHeaders)
	columns := columnIDs(t, chosen, Options{})
	for _, c := range []struct {
		what, path string
		o          Options
		holds      string // of what is written of the reading, so that the pair is met
	}{
		{
			what: "two columns that say yes to a style each", o: Options{Answers: usual}, holds: "cannot be read together",
			path: asFile(t, "a.csv", wide+"K1,1,43,rotation,-10,-8,yes,yes\nK1,1,44,rotation,-10,-8,yes,no\n"),
		},
		{
			what: "two movements in two rows each", o: Options{Answers: usual, Ask: true}, holds: "twice",
			path: asFile(t, "a.csv", flat+"A1,1,43,rotation,-10,-8,none\nA1,1,44,rotation,-10,-7,none\nA1,1,43,rotation,-10,-6,none\nA1,1,44,rotation,-10,-5,none\n"),
		},
		{
			what: "two words read as one style", o: Options{Answers: usual}, holds: "is read as",
			path: asFile(t, "a.csv", flat+"A1,1,43,rotation,-10,-8,software\nA1,1,44,rotation,-10,-8,suggested\nA1,1,45,rotation,-10,-8,own\nA1,1,42,rotation,-10,-8,doctor\n"),
		},
		{
			what: "two unknown words of a style", o: Options{Answers: usual}, holds: "style words",
			path: asFile(t, "a.csv", flat+twice("A1,1,43,rotation,-10,-8,MK\n")+twice("A1,1,44,rotation,-10,-8,ZZ\n")),
		},
		{
			what: "two unknown words of an axis", o: Options{Answers: usual}, holds: "axis words",
			path: asFile(t, "a.csv", flat+"A1,1,43,R,-10,-8,none\nA1,1,44,E,1,1,none\n"),
		},
		{
			what: "two unknown words of a direction", o: Options{Answers: usual}, holds: "direction words",
			path: asFile(t, "a.csv", "case,course,tooth,axis,direction,planned,achieved,style\n"+twice("A1,1,43,rotation,zig,10,8,none\n")+twice("A1,1,44,rotation,zag,10,8,none\n")),
		},
		{
			what: "two marks for what was not measured", o: Options{Answers: usual}, holds: "among the achieved amounts",
			path: asFile(t, "a.csv", "patient,course,tooth,movement,planned,achieved,attachment\n"+twice("A1,1,43,rotation,-10,gone,none\n")+twice("A1,1,44,rotation,-10,later,none\n")+"A1,1,45,rotation,-10,-8,none\n"),
		},
		{
			what: "two columns of words for age and wear", holds: "words of your own",
			path: asFile(t, "a.csv", ownPairs()),
		},
		{
			what: "two reasons why nothing is read, as often", o: Options{Answers: usual}, holds: "none of the",
			path: asFile(t, "a.csv", flat+"A1,1,99,rotation,-10,-8,none\nA1,1,43,rotation,much,-8,none\n"),
		},
		{
			what: "two identifiers above the table", holds: "gives as",
			path: asFile(t, "a.csv", "Case: Brenka Tolmov\nPractice: b.tolmov@example.org\ncourse,tooth,axis,planned,achieved,style\n1,43,rotation,-10,-8,none\n"),
		},
		{
			what: "two kinds of sheets that are a case each", o: Options{Answers: usual}, holds: "one case, named after the sheet",
			path: sheets(t, "K1", "course,tooth,axis,planned,achieved\n1,43,rotation,-10,-8", "L1", "course,tooth,axis,planned,achieved,style\n1,43,rotation,-10,-8,none",
				"K2", "course,tooth,axis,planned,achieved\n1,43,rotation,-10,-8", "L2", "course,tooth,axis,planned,achieved,style\n1,43,rotation,-10,-8,none"),
		},
		{
			what: "two columns of which a person says what they hold", path: chosen, holds: "What is column G",
			o: Options{Answers: question.Answers{columns["F"]: "ignore", columns["G"]: "achieved", "positive": "usual"}},
		},
		{
			what: "words under a header that names no style", o: Options{Answers: usual}, holds: "who designed",
			path: asFile(t, "a.csv", "case,course,tooth,axis,planned,achieved,Who\nA1,1,43,rotation,-10,-8,software\nA1,1,44,rotation,-10,-8,own\nA1,1,45,rotation,-10,-8,none\nA1,1,42,rotation,-10,-8,doctor\n"),
		},
	} {
		t.Run(c.what, func(t *testing.T) {
			proposed := func() string {
				book, err := sheet.Open(c.path, sheet.Limits{})
				require.NoError(t, err)
				return string(layout.Propose(apart.Plain(book)).Text())
			}
			first, proposal := readAsText(t, c.path, c.o), proposed()
			require.Contains(t, first, c.holds)
			for range max(4, often(20)) {
				got := readAsText(t, c.path, c.o)
				require.True(t, first == got, "%s", differ(first, got))
				require.Equal(t, proposal, proposed())
			}
		})
	}
}

// ownPairs are cases with two words of a practice's own in each of two columns, as often.
func ownPairs() string {
	var out strings.Builder
	out.WriteString("case,status,age group,wear\n")
	for i := range 10 {
		fmt.Fprintf(&out, "A%d,completed,%s,%s\n", i, []string{"grown-up", "growing"}[i%2], []string{"so-so", "splendid"}[i%2])
	}
	return out.String()
}

// readAsText is all that a reading gives and says.
func readAsText(t *testing.T, path string, o Options) string {
	t.Helper()
	b, err := Read(t.Context(), path, o)
	got, e := json.MarshalIndent(map[string]any{
		"batch": b, "error": fmt.Sprint(err), "problems": Problems(err), "open": openOf(err),
	}, "", " ")
	require.NoError(t, e)
	return string(got)
}

// differ shows where two texts part.
func differ(a, b string) string {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	from := max(0, i-120)
	return fmt.Sprintf("...%s\nagainst\n...%s", a[from:min(len(a), i+120)], b[from:min(len(b), i+120)])
}

// Rows say the same whether the row above is of the same case or of another, what they
// leave to remark included.
func TestRowsSayTheSameInAnyOrder(t *testing.T) {
	const header = "case,clinician,age band,start month,status,course,course start month,tooth,axis,planned,achieved,style\n"
	var rows []string
	for i, head := range []string{
		"P1,K1,30-44,2025-01,completed,%d,2025-0%d", "P2 ,K1,grown-up,2025-02,completed,%d,2025-0%d", "P3,,,,completed,%d,",
		"P4,K2,18-29,nonsense,completed,%d,2025-0%d", "P5,K 1,12-17,2025-03,under treatment,%d,2025-0%d", "P1,K1,30-44,2025-01,completed,%d,2025-0%d",
	} {
		for j := range 6 {
			course := 1 + j%2
			if i < 5 {
				course = 1 + j/3
			}
			line := fmt.Sprintf(strings.Replace(head, "2025-0%d", fmt.Sprint("2025-0", 3+course), 1), course)
			rows = append(rows, line+fmt.Sprintf(",%d,rotation,%d,%d,none", 31+j+10*(i/5), 5+j-20*(j%2), 4+j%3-20*(j%2)))
		}
	}
	told := func(rows []string) (records, problems []string) {
		b := mustRead(t, header+strings.Join(rows, "\n")+"\n", Options{Answers: question.Answers{"clinician codes": "different"}})
		for _, r := range b.Cases {
			records = append(records, fmt.Sprintf("%+v", r.Value))
		}
		for _, r := range b.Courses {
			records = append(records, fmt.Sprintf("%+v", r.Value))
		}
		for _, r := range b.Movements {
			kept := ""
			for _, c := range r.Original.Cells() {
				kept += fmt.Sprint(c.Header, "=", c.Text, " ", c.Kept, ";")
			}
			records = append(records, fmt.Sprintf("%+v", r.Value)+kept)
		}
		for _, p := range b.Problems {
			message, _, _ := strings.Cut(p.Message, ", ") // where they are differs
			problems = append(problems, p.Rule+" "+p.Column+" "+message)
		}
		slices.Sort(records)
		slices.Sort(problems)
		return records, problems
	}
	records, problems := told(rows)
	require.Len(t, records, 5+10+36)
	var mixed []string
	for i := range 6 {
		for j := range 6 {
			mixed = append(mixed, rows[6*j+i])
		}
	}
	mixedRecords, mixedProblems := told(mixed)
	assert.Equal(t, records, mixedRecords)
	assert.Equal(t, problems, mixedProblems)
	assert.NotEmpty(t, problems)
}
