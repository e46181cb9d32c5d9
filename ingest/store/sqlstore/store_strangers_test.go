package sqlstore_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// listOf is a list of cases 1 to n of one practice, which names its clinicians and begins
// its treatments from a month on.
func listOf(sha string, n int, clinicians []string, from casebook.Month) *casebook.Batch {
	b := &casebook.Batch{File: casebook.File{Name: sha, SHA256: sha, Reading: "r"}}
	for i := range n {
		c := casebook.Case{ID: fmt.Sprint(i + 1), Start: from + casebook.Month(5*i%7), Wear: casebook.WearGood}
		if len(clinicians) > 0 {
			c.Clinician = clinicians[i%len(clinicians)]
		}
		b.Cases = append(b.Cases, casebook.Record[casebook.Case]{Value: c, Source: casebook.Source{Sheet: "list", Row: i + 2}})
	}
	return b
}

// holding is a database of the practice P that holds the cases of a list.
func holding(b *casebook.Batch) *store.Known {
	k := heldFrom()
	k.Cases = map[casebook.CaseKey]store.Held[casebook.Case]{}
	for _, r := range b.Cases {
		r.Value.Practice = "P"
		k.Cases[r.Value.Key()] = store.Held[casebook.Case]{Value: r.Value, File: 1}
	}
	k.Editions[0].Records = len(k.Cases)
	return k
}

// The list of another practice with codes of its own that are known here is asked about,
// by whatever it says; nothing of it is taken for a correction.
func TestAListOfAnotherPracticeIsAsked(t *testing.T) {
	march := casebook.NewMonth(2024, 3)
	ours := listOf("ours", 12, []string{"AB", "CD"}, march)
	for name, other := range map[string]*casebook.Batch{
		"clinicians and months": listOf("theirs", 12, []string{"XY"}, march+20),
		"a few of them":         listOf("theirs", 2, []string{"XY"}, march+20),
		"one":                   listOf("theirs", 1, []string{"XY"}, march+20),
		"months alone":          listOf("theirs", 12, nil, march+20),
		"the same dentist":      listOf("theirs", 12, []string{"AB", "CD"}, march+20),
	} {
		_, err := store.Decide(other, holding(ours), store.Choices{})
		require.ErrorIs(t, err, store.ErrClash, name)
		var asked *store.Error
		require.ErrorAs(t, err, &asked)
		assert.Len(t, asked.Cases, len(other.Cases), name)
		assert.Contains(t, err.Error(), "start month", name)
		assert.Contains(t, err.Error(), "sheet list, row 2", name)
		assert.Empty(t, other.Cases[0].Value.Practice, "%s: it is left open again", name)

		p, err := store.Decide(other, holding(ours), store.Choices{Practice: "Q"})
		require.NoError(t, err, name)
		assert.Len(t, p.Cases.Add, len(other.Cases), name)
	}
}

// Corrections are none: a few of many, what is new, what goes on, or what a person says.
func TestCorrectionsOfAListAreNoClash(t *testing.T) {
	march := casebook.NewMonth(2024, 3)
	ours := listOf("ours", 12, []string{"AB", "CD"}, march)
	ids := []string{}
	for _, r := range ours.Cases {
		ids = append(ids, r.Value.ID)
	}
	for name, change := range map[string]func(*casebook.Case, int){
		"status and wear go on": func(c *casebook.Case, _ int) {
			c.Status, c.Wear, c.StatedRefinements = casebook.Completed, casebook.WearPoor, casebook.Some(1)
		},
		"what was not said": func(c *casebook.Case, _ int) { c.End, c.PlannedAligners = march+30, casebook.Some(20) },
		"a third corrected": func(c *casebook.Case, i int) {
			if i%3 == 0 {
				c.Start, c.Clinician = c.Start+1, "EF"
			}
		},
		"another month of the start": func(c *casebook.Case, _ int) { c.Start += 2 },
		"months of one clinician": func(c *casebook.Case, i int) {
			if i%2 == 0 {
				c.Start += 3
			}
		},
	} {
		later := listOf("later", 12, []string{"AB", "CD"}, march)
		for i := range later.Cases {
			change(&later.Cases[i].Value, i)
		}
		p, err := store.Decide(later, holding(ours), store.Choices{})
		require.NoError(t, err, name)
		assert.NotEmpty(t, p.Cases.Replace, name)
	}
	other := listOf("other", 12, []string{"XY"}, march+20)
	p, err := store.Decide(other, holding(ours), store.Choices{Correct: ids})
	require.NoError(t, err)
	assert.Len(t, p.Cases.Replace, 12)
}

// Movements that stand say that it is the same patient, whatever else is corrected; later
// courses alone do not.
func TestMovementsTellStrangers(t *testing.T) {
	march := casebook.NewMonth(2024, 3)
	ours := listOf("ours", 1, []string{"AB"}, march)
	k := holding(ours)
	held := givenCase("1", 4)
	for _, m := range held {
		k.Movements[m.Key()] = store.Held[casebook.Movement]{Value: m, File: 1}
	}
	with := func(course int) *casebook.Batch {
		b := listOf("theirs", 1, []string{"XY"}, march+20)
		for _, m := range held {
			m.Course, m.Case.Practice = course, ""
			b.Movements = append(b.Movements, casebook.Record[casebook.Movement]{Value: m})
		}
		return b
	}
	_, err := store.Decide(with(1), k, store.Choices{})
	require.NoError(t, err)
	_, err = store.Decide(with(2), k, store.Choices{})
	require.ErrorIs(t, err, store.ErrClash)
}
