package report

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
	"shortfall/report/section"
)

// raw finds what no sentence says: values of the program, numbers that are none, limits
// alike, a withheld difference printed as nought.
var raw = regexp.MustCompile(`\{|\}|<nil>|map\[|%!|\bNaN\b|\bInf\b|– to –|= –|\(– |\b0 \(0 to 0\)|up to (\d+) to (\d+) points`)

func rawWords(d *document.Document) (found []string) {
	for _, line := range strings.Split(everything(d), "\n") {
		m := raw.FindStringSubmatch(strings.ReplaceAll(line, "\u00a0", " "))
		if m != nil && m[1] == m[2] {
			found = append(found, line)
		}
	}
	return found
}

// tablesOf walks the tables of a document, those behind its figures too.
func tablesOf(d *document.Document, visit func(document.Table)) {
	d.Walk(func(b document.Block, _ int) {
		switch b := b.(type) {
		case document.Table:
			if !b.ToFill {
				visit(b)
			}
		case document.Figure:
			if b.Data != nil {
				visit(*b.Data)
			}
		}
	})
}

// saidTwice lists rows that stand twice under one head, under one name or with the same
// words and numbers.
func saidTwice(d *document.Document) (found []string) {
	tablesOf(d, func(t document.Table) {
		group, seen := "", map[string]bool{}
		for _, r := range t.Rows {
			if r.Group != nil {
				group = r.Group.Plain()
				continue
			}
			var cells []string
			for _, c := range r.Cells {
				cells = append(cells, c.Text)
			}
			key := group + "|" + strings.Join(cells, "|")
			if seen[key] {
				found = append(found, t.Title+": "+key)
			}
			seen[key] = true
		}
	})
	return found
}

// emptyRows lists rows that say nothing behind their name, or no more than a count of none; the data of an arch have a row
// for every tooth.
func emptyRows(d *document.Document) (found []string) {
	d.Walk(func(b document.Block, _ int) {
		t, _ := b.(document.Table)
		if t.ToFill {
			return
		}
		for _, r := range t.Rows {
			said := func(c document.Cell) bool { return !document.Nothing(c.Text) && (c.Text != "0" || len(r.Cells) == 2) }
			if r.Group == nil && !slices.ContainsFunc(r.Cells[1:], said) {
				found = append(found, t.Title+": row "+r.Cells[0].Text)
			}
		}
	})
	return found
}

// What is printed of practices that lack something has no value of the program in it, no
// row twice and none that is empty; everyday of four of them.
func TestNothingRawTwiceOrEmpty(t *testing.T) {
	lacking := append(inventedPractices(t)[:1],
		invented{name: "bare", cases: 30, seed: 34, spoil: func(ds *casebook.Dataset) { bare(ds); noMonths(ds); noRefinements(ds) }},
		invented{name: "later courses alone", cases: 50, seed: 32, spoil: laterCoursesAlone},
		invented{name: "shared 15", cases: 15, seed: 1, set: func(s *results.Settings) { s.Shared = true }},
		invented{name: "all none", cases: 40, seed: 8, spoil: style(casebook.StyleNone, casebook.SoftwareSuggested, casebook.ClinicianDesigned)},
		invented{name: "one style", cases: 40, seed: 3, spoil: style(casebook.SoftwareSuggested, casebook.ClinicianDesigned, casebook.StyleNone)},
		invented{name: "sizes", cases: 40, seed: 33, spoil: sizesOnly},
		invented{name: "refined alike", cases: 40, seed: 35, spoil: func(ds *casebook.Dataset) { noRefinements(ds); eachRefinedOnce(ds) }},
	)
	if long {
		lacking = append(lacking, inventedPractices(t)[1])
	}
	for _, p := range lacking[:everyday(len(lacking), 4)] {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			d, err := section.Document(p.results(t), section.Everything)
			require.NoError(t, err)
			assert.Empty(t, slices.Concat(rawWords(d), saidTwice(d), emptyRows(d)))
		})
	}
}

func eachRefinedOnce(ds *casebook.Dataset) {
	for i := range ds.Cases {
		ds.Cases[i].StatedRefinements, ds.Cases[i].Status = casebook.Some(1), casebook.Completed
	}
}

func laterCoursesAlone(ds *casebook.Dataset) {
	ds.Repeats = nil
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Course == 1 })
}

func TestSayingFindersFind(t *testing.T) {
	row := func(cells ...string) (r document.Row) {
		for _, s := range cells {
			r.Cells = append(r.Cells, document.Cell{Text: s})
		}
		return r
	}
	doc := func(words string, rows ...document.Row) *document.Document {
		return &document.Document{Sections: []document.Section{{Title: "s", Blocks: []document.Block{
			document.Para{Text: document.Words(words)},
			document.Table{Title: "T", Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: rows},
		}}}}
	}
	for _, s := range []string{"period: { 2025-06 }, now { }", "(95 % CI – to –; P = –)", "0 (0 to 0)", "of up to 14 to 14 points", "NaN points"} {
		assert.Len(t, rawWords(doc(s)), 1, s)
	}
	for _, s := range []string{"of up to 9 to 14 points", "10 (0 to 20)", "52 (44 to 60)", "–"} {
		assert.Empty(t, rawWords(doc(s)), s)
	}
	head := document.Row{Group: document.Strong("h")}
	assert.Empty(t, saidTwice(doc("", row("a", "1"), head, row("a", "1"), row("b", "1"))))
	assert.Len(t, saidTwice(doc("", row("a", "1"), head, row("a", "1"), row("a", "1"))), 1)
	assert.Empty(t, emptyRows(doc("", head, row("a", "1"))))
	assert.Equal(t, []string{"T: row a", "T: row c"}, emptyRows(doc("", row("a", "–"), row("b", "0"), row("c", ""))), "a count of none says something")
	assert.Equal(t, []string{"T: row none"}, emptyRows(doc("", row("none", "0", "–"), row("some", "0", "5"))))
}
