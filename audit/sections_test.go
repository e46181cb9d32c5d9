package audit_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/audittest"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// heard are the results of spoken, audited once for every test that reads them.
var heard map[string]*results.Results

// spoken are practices under settings that make every question speak, or fall silent.
func spoken(t *testing.T) map[string]*results.Results {
	t.Helper()
	if heard != nil {
		return heard
	}
	criteria, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	cases := audittest.Everyday(120, 60)
	declared := func(s *results.Settings) { s.Questions.Criteria = criteria }
	heard = map[string]*results.Results{
		"large":   mustRun(t, invented(1, cases), declared),
		"shared":  mustRun(t, invented(1, 120), func(s *results.Settings) { declared(s); s.Shared = true }),
		"quarter": mustRun(t, invented(1, cases), func(s *results.Settings) { s.Period.Quarter = casebook.NewMonth(2025, 4) }),
		"since":   mustRunSince(t, invented(1, cases), invented(2, cases)),
		"quarter, shared": mustRun(t, invented(1, cases), func(s *results.Settings) {
			s.Period.Quarter = casebook.NewMonth(2025, 4)
			s.Shared = true
		}),
		"small": mustRun(t, invented(2, 12), nil),
		"small, shared": mustRun(t, invented(2, 12), func(s *results.Settings) {
			declared(s)
			s.Shared = true
		}),
		"empty": mustRun(t, &casebook.Dataset{}, nil),
	}
	return heard
}

// mustRunSince audits a practice against an earlier audit of another.
func mustRunSince(t *testing.T, ds, earlier *casebook.Dataset) *results.Results {
	t.Helper()
	r, err := audit.RunSince(t.Context(), ds, results.DefaultSettings(), "test", &audit.Earlier{Results: mustRun(t, earlier, nil)})
	require.NoError(t, err)
	return r
}

// TestEveryQuestionIsWhole: all parts, one id each, and its exhibits are named after it.
func TestEveryQuestionIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, q := range audit.Questions() {
		require.NoError(t, q.Check())
		assert.False(t, seen[q.ID], "two questions %q", q.ID)
		seen[q.ID] = true
	}
	said := map[string]bool{}
	for name, r := range spoken(t) {
		for _, s := range r.Sections {
			assert.True(t, seen[s.ID] || s.ID == "methods", "%s: no question %q", name, s.ID)
			said[s.ID] = true
		}
	}
	for id := range seen {
		assert.True(t, said[id], "question %s says nothing of 120 cases", id)
	}
}

// TestWordsPointToWhatIsThere: every exhibit has a title, a denominator and a method
// of the list; every definition and exhibit that is pointed to exists; no id twice.
func TestWordsPointToWhatIsThere(t *testing.T) {
	for name, r := range spoken(t) {
		ids := map[string]int{}
		methods, definitions := map[string]bool{}, map[string]bool{}
		for _, m := range r.Methods {
			ids[m.ID]++
			methods[m.ID] = true
			assert.NotEmpty(t, m.Text)
		}
		for _, d := range r.Definitions {
			assert.False(t, definitions[d.ID], "%s: definition %s twice", name, d.ID)
			definitions[d.ID] = true
			assert.NotEmpty(t, d.ID, d.Term)
			ids[d.ID]++
		}
		exhibits := map[string]bool{}
		for _, s := range r.Sections {
			for _, e := range s.Exhibits {
				assert.False(t, exhibits[e.ID], "%s: exhibit %s twice", name, e.ID)
				exhibits[e.ID] = true
				ids[e.ID]++
				assert.True(t, strings.HasPrefix(e.ID, s.ID+"."), "%s: %s in section %s", name, e.ID, s.ID)
				assert.NotEmpty(t, e.Title, e.ID)
				assert.NotEmpty(t, e.Denominator, e.ID)
				assert.True(t, methods[e.Method], "%s: %s has no method %q", name, e.ID, e.Method)
				assert.True(t, e.Definition == "" || definitions[e.Definition], "%s: %s has no definition %q", name, e.ID, e.Definition)
			}
		}
		for _, s := range r.Sections {
			for _, l := range s.Lines {
				assert.NotEmpty(t, strings.TrimSpace(l.Text), s.ID)
				for _, to := range l.See {
					assert.Positive(t, ids[to], "%s: section %s points to %q", name, s.ID, to)
				}
			}
			for _, e := range s.Exhibits {
				for _, to := range e.See {
					assert.Positive(t, ids[to], "%s: %s points to %q", name, e.ID, to)
				}
			}
		}
		for _, f := range r.Findings {
			for _, b := range f.Rests {
				assert.True(t, b.Table == "expression" || b.Table == "comparisons" || exhibits[b.Table], "%s: finding %s rests on %q", name, f.Kind, b.Table)
			}
		}
	}
}

// TestNoFalseStatement: three sentences that were printed once and were not so.
func TestNoFalseStatement(t *testing.T) {
	for name, r := range spoken(t) {
		for _, s := range r.Sections {
			texts := []string{}
			for _, l := range s.Lines {
				texts = append(texts, l.Text)
			}
			for _, e := range s.Exhibits {
				texts = append(append(texts, e.Title, e.Denominator), e.Notes...)
			}
			for _, x := range texts {
				assert.NotContains(t, x, "cases − 1 degrees", name)
				assert.NotContains(t, x, "corrected for its size", name)
				assert.NotContains(t, x, "followed by another course", name)
				assert.NotContains(t, strings.ToLower(x), "feature", name)
			}
		}
	}
}

// TestPlannedAgainCountsWhatItSays: the denominator is every movement planned in the
// initial course of a completed case, a next course or not.
func TestPlannedAgainCountsWhatItSays(t *testing.T) {
	ds := logged(
		move("A", 11, casebook.Rotation, 10, 5, casebook.SoftwareSuggested),
		move("A", 12, casebook.Rotation, 10, 5, casebook.SoftwareSuggested),
		move("B", 11, casebook.Rotation, 10, 5, casebook.SoftwareSuggested), // no next course
		move("C", 11, casebook.Rotation, 10, 5, casebook.NoStyle),           // style not recorded
		move("D", 11, casebook.Rotation, 1, 1, casebook.SoftwareSuggested),  // below the smallest plan
	)
	again := move("A", 11, casebook.Rotation, 5, 4, casebook.SoftwareSuggested)
	again.Course = 2
	ds.Movements = append(ds.Movements, again)
	r := mustRun(t, ds, nil)
	require.NotEmpty(t, r.Replanned)
	assert.Equal(t, [2]int{1, 3}, [2]int{r.Replanned[0].Again.Numerator, r.Replanned[0].Again.Denominator})
	e := r.SectionOf("replanned").ExhibitOf("replanned.table")
	assert.Equal(t, "movements planned to a meaningful amount in the first set of completed cases, style recorded", e.Denominator)
}
