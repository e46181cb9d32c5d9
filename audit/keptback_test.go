package audit_test

import (
	"context"
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/audittest"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestWithheldIsNotNoDifference: a style that hardly stands in one direction of an axis
// hides neither the comparison of the other direction nor, where one is hidden, that it is:
// no sentence of a shared audit says that nothing differs where a result is kept back.
func TestWithheldIsNotNoDifference(t *testing.T) {
	clear, hidden := 0, 0
	for _, cases := range []int{160, 60}[:audittest.Everyday(2, 1)] { // both are seen in the larger
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

// Numbers are rounded as they are read: two digits, three below a tenth, halves away from
// zero; what is rounded stays as it is.
func TestCoarse(t *testing.T) {
	for x, want := range map[float64]float64{0: 0, 1234.5: 1200, 1250: 1300, -60.7: -61, 12.34: 12, 9.96: 10, 1.05: 1.1, 0.42016806722689076: 0.42, 0.0496: 0.0496, 0.00496349: 0.00496, 99.6: 100, -0.125: -0.13} {
		assert.Equal(t, want, measure.Coarse(x), x)
		assert.Equal(t, want, measure.Coarse(want), "twice %v", x)
	}
	assert.True(t, math.IsNaN(measure.Coarse(math.NaN())))
	assert.True(t, math.IsInf(measure.Coarse(math.Inf(-1)), -1))
}

// shares are results that leave the practice, and the same inside it.
// sharedSixty is what the same practice shares, made once for the tests that only read it.
var sharedSixty = sync.OnceValue(func() *results.Results {
	s := results.DefaultSettings()
	s.Shared = true
	r, err := audit.Run(context.Background(), invented(7, 60), s, "test")
	if err != nil {
		panic(err)
	}
	return r
})

func shares(t *testing.T, ds *casebook.Dataset) *results.Results {
	t.Helper()
	return mustRun(t, ds, func(s *results.Settings) { s.Shared = true })
}

// No number of results that leave the practice has more than three digits, but for counts
// and what was declared; inside it many have.
func TestSharedNumbersAreCoarse(t *testing.T) {
	long := regexp.MustCompile(`:-?(\d+\.\d{3,}|[1-9]\d*\.\d{2,}|0\.[1-9]\d{2,}|0\.0*[1-9]\d{3,})[,}\]]`)
	ds := invented(7, audittest.Everyday(60, 30))
	for shared, r := range map[bool]*results.Results{true: shares(t, ds), false: mustRun(t, ds, nil)} {
		r.Provenance, r.Front = results.Provenance{}, results.Front{} // declared; made of the others
		for i := range r.Comparisons {
			r.Comparisons[i].VerdictLevel = 0 // declared
			for k := range r.Comparisons[i].Arms {
				a := &r.Comparisons[i].Arms[k].AdjustedRatio
				assert.True(t, !shared || !a.OK() || float64(*a) == round.HalfAway(float64(*a), 4), "%v", *a)
				*a = 0
			}
		}
		data, err := json.Marshal(r)
		require.NoError(t, err)
		found := long.FindAllString(string(data), -1)
		// numbers below 0.001 have more decimals and no more digits
		n := 0
		for _, f := range found {
			x, err := strconv.ParseFloat(f[1:len(f)-1], 64)
			require.NoError(t, err)
			if measure.Coarse(x) != x {
				n++
			}
		}
		if shared {
			assert.Zero(t, n, "%v", found)
		} else {
			assert.Greater(t, n, 1000)
		}
	}
}

// A quartile of five movements is one of them: of few cases no median, quartile, total or
// slope leaves the practice.
func TestSharedCellsOfFewTellNoMovement(t *testing.T) {
	r := sharedSixty()
	few, many := 0, 0
	for _, c := range r.Expression {
		if c.Suppressed {
			continue
		}
		order := []results.Number{c.MedianRatio, c.LowerQuartile, c.UpperQuartile, c.PlannedTotal, c.AchievedTotal, c.Slope}
		for _, n := range order {
			assert.Equal(t, c.Cases >= disclose.FewestForOrder, n.OK(), "%v", c.By)
		}
		if c.Cases < disclose.FewestForOrder {
			few++
		} else {
			many++
		}
	}
	assert.Positive(t, few)
	assert.Positive(t, many)
	for _, b := range r.Questions.ByPlan {
		assert.True(t, b.Suppressed || b.Cases >= disclose.FewestForOrder, "%v", b)
	}
}

// What two reports that differ by one case give back of its movements: of cells with one
// movement less, the plan of it by subtraction. Before totals were rounded it was all of them.
func TestTwoSharedReportsDoNotSubtract(t *testing.T) {
	ds := invented(7, 60)
	without := *ds
	gone := ds.Movements[0].Case
	without.Movements = nil
	for _, m := range ds.Movements {
		if m.Case != gone {
			without.Movements = append(without.Movements, m)
		}
	}
	before := map[results.By]results.Cell{}
	for _, c := range sharedSixty().Expression {
		before[c.By] = c
	}
	one, exact := 0, 0
	for _, c := range shares(t, &without).Expression {
		b, ok := before[c.By]
		if !ok || b.Suppressed || c.Suppressed || b.Movements != c.Movements+1 {
			continue
		}
		one++
		plan := float64(b.PlannedTotal - c.PlannedTotal)
		for _, m := range ds.Movements {
			if m.Case == gone && m.Axis == c.By.Axis && math.Abs(math.Abs(m.Planned)-plan) < 0.05 {
				exact++
				break
			}
		}
	}
	require.Greater(t, one, 10)
	assert.Less(t, exact, one/5, "of %d", one)
}

// A file and a sheet can be called by a patient's name; results that leave the practice say
// of neither what it is called.
func TestSharedResultsNameNoFile(t *testing.T) {
	ds := invented(7, 20)
	ds.Files = []casebook.ImportedFile{{File: casebook.File{Name: "Quillfeather.xlsx", SHA256: "ab"}, Sheets: []casebook.SheetCounts{{Sheet: "Brackenbury"}}}}
	for shared, r := range map[bool]*results.Results{true: shares(t, ds), false: mustRun(t, ds, nil)} {
		data, err := json.Marshal(r)
		require.NoError(t, err)
		for _, name := range []string{"Quillfeather", "Brackenbury"} {
			if found := strings.Contains(string(data), name); found == shared {
				t.Errorf("shared %v: %s found %v", shared, name, found)
			}
		}
	}
	assert.Equal(t, "Brackenbury", ds.Files[0].Sheets[0].Sheet)
}
