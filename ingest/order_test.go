package ingest

import (
	"context"
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
)

var reads = flag.Int("reads", 0, "how often each fixture is read for one order of everything; else 2, and 30 with SHORTFALL_LONG")

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
	for _, f := range files {
		first := ""
		for i := range n {
			b, err := Read(context.Background(), f, Options{AllowIdentifiers: true})
			got, e := json.MarshalIndent(map[string]any{
				"batch": b, "error": fmt.Sprint(err), "problems": Problems(err),
			}, "", " ")
			require.NoError(t, e)
			if i == 0 {
				first = string(got)
			}
			if !assert.True(t, first == string(got), "%s, read %d: %s", f, i+1, differ(first, string(got))) {
				break
			}
		}
	}
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
		b := mustRead(t, header+strings.Join(rows, "\n")+"\n", Options{})
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
