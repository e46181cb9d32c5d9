package audit_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// twin enters a case again under another pseudonym, its movements last to first.
func twin(ds *casebook.Dataset, id, as string) {
	for _, c := range ds.Cases {
		if c.ID == id {
			c.ID = as
			ds.Cases = append(ds.Cases, c)
		}
	}
	var again []casebook.Movement
	for _, m := range ds.Movements {
		if m.Case.ID == id {
			m.Case.ID = as
			again = append(again, m)
		}
	}
	slices.Reverse(again)
	ds.Movements = append(ds.Movements, again...)
}

func alikeWarning(t *testing.T, ds *casebook.Dataset, change func(*results.Settings)) string {
	t.Helper()
	for _, w := range mustRun(t, ds, change).Warnings {
		if w.ID == "cases-alike" {
			assert.NotEmpty(t, w.Remedy)
			return w.Text
		}
	}
	return ""
}

// TestTheSamePatientTwice: a case entered under two pseudonyms is told, whatever
// the order of its movements, and counted on; one number apart it is another case.
func TestTheSamePatientTwice(t *testing.T) {
	ds := invented(5, 12)
	assert.Empty(t, alikeWarning(t, ds, nil), "no two invented patients are alike")
	before := mustRun(t, ds, nil).Scope
	twin(ds, ds.Cases[3].ID, "zz-1")
	assert.True(t, strings.HasPrefix(alikeWarning(t, ds, nil), "1\u00a0case "))
	after := mustRun(t, ds, nil).Scope
	assert.Equal(t, before.Cases+1, after.Cases, "never merged")
	twin(ds, ds.Cases[3].ID, "zz-2")
	twin(ds, ds.Cases[7].ID, "zz-3")
	assert.True(t, strings.HasPrefix(alikeWarning(t, ds, nil), "3\u00a0cases "))
	assert.True(t, strings.HasPrefix(alikeWarning(t, ds, func(s *results.Settings) { s.Shared = true }), "fewer than 5 cases "))

	for name, change := range map[string]func(*casebook.Movement){
		"planned":    func(m *casebook.Movement) { m.Planned += 0.1 },
		"achieved":   func(m *casebook.Movement) { m.Achieved.Value += 0.1 },
		"no outcome": func(m *casebook.Movement) { m.Achieved.OK = false },
		"course":     func(m *casebook.Movement) { m.Course = 9 },
		"tooth":      func(m *casebook.Movement) { m.Tooth = 48 },
	} {
		one := invented(5, 12)
		twin(one, one.Cases[3].ID, "zz-1")
		last := &one.Movements[len(one.Movements)-1]
		require.Equal(t, "zz-1", last.Case.ID)
		change(last)
		assert.Empty(t, alikeWarning(t, one, nil), name)
	}
}

// TestFewMovementsAreNoTwin: two patients may share four plans and results.
func TestFewMovementsAreNoTwin(t *testing.T) {
	for n, want := range map[int]bool{4: false, 5: true} {
		var mv []casebook.Movement
		for _, id := range []string{"a", "b"} {
			for k := range n {
				mv = append(mv, move(id, casebook.Tooth(11+k), casebook.Rotation, 8, 6, casebook.StyleNone))
			}
			nothing := move(id, 21, casebook.Rotation, 0, 0, casebook.StyleNone)
			mv = append(mv, nothing)
		}
		assert.Equal(t, want, alikeWarning(t, logged(mv...), nil) != "", "%d planned movements", n)
	}
}
