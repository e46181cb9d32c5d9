package ask

import (
	"context"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a third of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// set is a practice without records whose results leave it.
func set(shared bool) *rows.Set {
	p := &rows.Set{Settings: results.DefaultSettings()}
	p.Settings.Shared = shared
	return p
}

// counting is a question with one number of cases, withheld or forgotten.
func counting(cases int, withhold bool) Question {
	return Question{
		ID: "counting",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			if p.Settings.Shared {
				cases = -1
			}
			r.Losses = []results.Loss{{Cases: 40}, {Cases: cases}}
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Losses} },
		Withhold: func(p *rows.Set, r *results.Results) {
			if withhold && !p.Settings.Shared {
				r.Losses[1] = results.Loss{Suppressed: true}
			}
		},
		Columns:     []results.Column{{Field: "losses", Definition: "attachments-lost", Method: "count"}},
		Definitions: func(*results.Settings) []results.Definition { return nil },
		Section:     func(*results.Results) results.Section { return results.Section{} },
	}
}

func put(q Question, shared bool) (*results.Results, error) {
	r, p := &results.Results{}, set(shared)
	if err := Answers(context.Background(), p, r, []Question{q}); err != nil {
		return r, err
	}
	return r, Withhold(p, r, []Question{q})
}

// TestForgottenRuleGivesNothingAway: a question that leaves a small count in makes
// shared results an error, and one that is not shared keeps its numbers.
func TestForgottenRuleGivesNothingAway(t *testing.T) {
	_, err := put(counting(4, false), true)
	require.ErrorContains(t, err, "question counting would give away a count of fewer than 5 cases (1: Loss.Cases)")
	r, err := put(counting(4, true), true)
	require.NoError(t, err)
	assert.True(t, r.Losses[1].Suppressed)
	r, err = put(counting(4, false), false)
	require.NoError(t, err)
	assert.Equal(t, 4, r.Losses[1].Cases, "nothing is withheld inside the practice")
	for _, cases := range []int{0, 5} {
		_, err = put(counting(cases, false), true)
		require.NoError(t, err)
	}
}

// TestNoQuestionKnowsThatItIsShared: Answer never sees the setting, nor does Withhold,
// whose question else could apply the rule by itself (counting does not, where it sees it).
func TestNoQuestionKnowsThatItIsShared(t *testing.T) {
	r, err := put(counting(7, false), true)
	require.NoError(t, err)
	assert.Equal(t, 7, r.Losses[1].Cases)
	r, err = put(counting(4, true), true)
	require.NoError(t, err)
	assert.True(t, r.Losses[1].Suppressed)
}

// TestSmallCountsAreFoundEverywhere: in lists, pointers and structs within structs,
// under every name that holds "Cases"; what is open by name is passed over.
func TestSmallCountsAreFoundEverywhere(t *testing.T) {
	for _, v := range []any{
		&results.StagingAnswer{TeethCases: 4},
		&results.Refinements{ByStyle: []results.RefinementRate{{Distribution: []results.Bar{{Cases: 1}}}}},
		&results.Reaudit{Criteria: []results.CriterionResult{{Chart: results.RunChart{Points: []results.RunPoint{{Cases: 2}}}}}},
		&results.Comparison{Both: 3},
		&results.Since{Records: &results.InTime{Cells: []results.CellChange{{CasesBefore: 9, CasesAfter: 3}}}},
	} {
		assert.NotEmpty(t, SmallCount(v, 5, nil), "%T", v)
	}
	assert.Empty(t, SmallCount(&results.Refinements{Cases: 3}, 5, []string{"Refinements.Cases"}))
	assert.Empty(t, SmallCount(&results.Refinements{Cases: 5}, 5, nil))
	assert.Empty(t, SmallCount((*results.Since)(nil), 5, nil))
}

// TestAQuestionHasAllItsParts: none may be left out.
func TestAQuestionHasAllItsParts(t *testing.T) {
	whole := counting(1, true)
	require.NoError(t, whole.Check())
	for _, drop := range []func(*Question){
		func(q *Question) { q.ID = "" }, func(q *Question) { q.Answer = nil }, func(q *Question) { q.Part = nil },
		func(q *Question) { q.Withhold = nil }, func(q *Question) { q.Definitions = nil }, func(q *Question) { q.Section = nil }, func(q *Question) { q.Columns = nil },
	} {
		q := counting(1, true)
		drop(&q)
		assert.Error(t, q.Check())
	}
}

// TestFindingsAreInOrder of their kinds, whatever the order of the questions; one on change
// is made of several, and one of no kind is not passed on.
func TestFindingsAreInOrder(t *testing.T) {
	saying := func(kinds ...results.FindingKind) Question {
		q := counting(9, true)
		q.Findings = func(*results.Results) (out []results.Finding) {
			for _, k := range kinds {
				out = append(out, results.Finding{Kind: k, Text: string(k) + "."})
			}
			return out
		}
		return q
	}
	got, err := Findings(&results.Results{}, []Question{saying(results.DataQuality, results.ChangedInTime), saying(results.FellShort, results.ChangedInTime)})
	require.NoError(t, err)
	var texts []string
	for _, f := range got {
		texts = append(texts, f.Text)
	}
	assert.Equal(t, []string{"short.", "change. change.", "quality."}, texts)
	_, err = Findings(&results.Results{}, []Question{saying("rumour")})
	require.ErrorContains(t, err, "question counting has a finding of no known kind")
}
