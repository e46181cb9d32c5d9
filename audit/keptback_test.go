package audit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestWithheldIsNotNoDifference: a style that hardly stands in one direction of an axis
// hides neither the comparison of the other direction nor, where one is hidden, that it is:
// no sentence of a shared audit says that nothing differs where a result is kept back.
func TestWithheldIsNotNoDifference(t *testing.T) {
	clear, hidden := 0, 0
	for _, cases := range []int{60, 160} {
		ds := invented(sampledata.DefaultSeed, cases)
		kept := ds.Movements[:0]
		seen := 0
		for _, m := range ds.Movements { // two software-suggested ones of one direction stay
			if m.Direction() == casebook.MesialOut && m.Style == casebook.SoftwareSuggested {
				if seen += measure.OneIf(m.Course == 1); m.Course != 1 || seen > 2 {
					continue
				}
			}
			kept = append(kept, m)
		}
		ds.Movements = kept
		open := mustRun(t, ds, nil)
		shared := mustRun(t, ds, func(s *results.Settings) { s.Shared = true })
		for i, c := range open.Comparisons {
			if !whole(c.By) || c.Verdict != results.Higher && c.Verdict != results.Lower {
				continue
			}
			clear++
			assert.Equal(t, c.Verdict, shared.Comparisons[i].Verdict, "%d cases: %v, whose arms hold enough cases", cases, c.By)
		}
		for _, c := range shared.Comparisons {
			if whole(c.By) && c.Reason == results.Withheld {
				hidden++
				assert.NotContains(t, shared.Front.Headline, "between clinician-designed and software-suggested")
				assert.Contains(t, styleText(shared), "may not leave the practice")
			}
		}
	}
	require.NotZero(t, clear)
	require.NotZero(t, hidden)
}

func whole(b results.By) bool {
	return b.WholeInFirstSets()
}

func styleText(r *results.Results) string {
	for _, f := range r.Findings {
		if f.Kind == results.StyleDifference {
			return f.Text
		}
	}
	return ""
}
