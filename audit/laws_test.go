package audit_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// asJSON is the results without their provenance.
func asJSON(t testing.TB, r *results.Results) []byte {
	t.Helper()
	b, err := json.Marshal(r)
	require.NoError(t, err)
	return b
}

// TestSameInputSameBytes: the order of the records and the number of
// processors change nothing, and the dataset is left as it was.
func TestSameInputSameBytes(t *testing.T) {
	ds := invented(3, audittest.Everyday(60, 20))
	before, err := json.Marshal(ds.Movements)
	require.NoError(t, err)
	want := asJSON(t, mustRun(t, ds, nil))
	after, err := json.Marshal(ds.Movements)
	require.NoError(t, err)
	assert.Equal(t, before, after)

	shuffled := *ds
	rng := rand.New(rand.NewPCG(1, 2))
	shuffled.Cases, shuffled.Courses = slices.Clone(ds.Cases), slices.Clone(ds.Courses)
	shuffled.Movements, shuffled.Repeats = slices.Clone(ds.Movements), slices.Clone(ds.Repeats)
	rng.Shuffle(len(ds.Cases), func(i, j int) { c := shuffled.Cases; c[i], c[j] = c[j], c[i] })
	rng.Shuffle(len(ds.Courses), func(i, j int) { c := shuffled.Courses; c[i], c[j] = c[j], c[i] })
	rng.Shuffle(len(ds.Movements), func(i, j int) { c := shuffled.Movements; c[i], c[j] = c[j], c[i] })
	assert.Equal(t, string(want), string(asJSON(t, mustRun(t, &shuffled, nil))))

	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.Equal(t, string(want), string(asJSON(t, mustRun(t, ds, nil))))
}

// TestResultsSurviveJSON: saved results can be replayed.
func TestResultsSurviveJSON(t *testing.T) {
	r := mustRun(t, invented(4, 40), func(s *results.Settings) { s.Shared = true })
	b := asJSON(t, r)
	var again results.Results
	require.NoError(t, json.Unmarshal(b, &again))
	assert.Equal(t, string(b), string(asJSON(t, &again)))
	assert.NotContains(t, string(b), "NaN")
}

// numbers flattens the core tables into path and number.
func numbers(t testing.TB, r *results.Results) map[string]float64 {
	t.Helper()
	b, err := json.Marshal(map[string]any{
		"expression": r.Expression, "comparisons": r.Comparisons, "refinements": r.Refinements, "replanned": r.Replanned,
		"losses": r.Losses, "bounds": r.Bounds, "unplanned": r.Unplanned, "flow": r.Flow,
	})
	require.NoError(t, err)
	var v any
	require.NoError(t, json.Unmarshal(b, &v))
	out := map[string]float64{}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				walk(path+"."+k, x)
			}
		case []any:
			for i, x := range v {
				walk(fmt.Sprintf("%s[%d]", path, i), x)
			}
		case float64:
			out[path] = v
		case nil:
			out[path] = math.Inf(-1) // not estimable must stay so
		}
	}
	walk("", v)
	return out
}

// sameNumbers compares all numbers, after factor, to six digits: a fit with hardly a
// degree of freedom keeps no more.
func sameNumbers(t *testing.T, want, got map[string]float64, factor func(path string) float64) {
	t.Helper()
	require.Len(t, got, len(want))
	for path, w := range want {
		g, ok := got[path]
		if !ok {
			t.Fatalf("%s is missing", path)
		}
		w *= factor(path)
		if w != g && !(math.Abs(w-g) <= 1e-6*max(1, math.Abs(w))) {
			t.Errorf("%s: %v became %v", path, w, g)
		}
	}
}

func same(string) float64 { return 1 }

// TestPseudonymsDoNotMatter: other names for the same patients, in another
// alphabetical order, give the same numbers.
func TestPseudonymsDoNotMatter(t *testing.T) {
	cases := audittest.Everyday(60, 20)
	ds, other := invented(5, cases), invented(5, cases)
	n := len(other.Cases)
	name := map[string]string{}
	for i := range other.Cases {
		name[other.Cases[i].ID] = fmt.Sprintf("P%04d", (7*i+3)%n)
	}
	require.Len(t, name, n)
	for i := range other.Cases {
		other.Cases[i].ID = name[other.Cases[i].ID]
	}
	for i := range other.Courses {
		other.Courses[i].Case.ID = name[other.Courses[i].Case.ID]
	}
	for i := range other.Movements {
		other.Movements[i].Case.ID = name[other.Movements[i].Case.ID]
	}
	for i := range other.Repeats {
		other.Repeats[i].Case.ID = name[other.Repeats[i].Case.ID]
	}
	sameNumbers(t, numbers(t, mustRun(t, ds, nil)), numbers(t, mustRun(t, other, nil)), same)
}

// TestUnits: measuring everything in units half as large doubles amounts and
// leaves ratios, shares and P values alone.
func TestUnits(t *testing.T) {
	cases := audittest.Everyday(60, 20)
	ds, double := invented(6, cases), invented(6, cases)
	for i := range double.Movements {
		double.Movements[i].Planned *= 2
		double.Movements[i].Achieved.Value *= 2
	}
	got := mustRun(t, double, func(s *results.Settings) {
		s.ToleranceMM, s.ToleranceDeg, s.SmallestMM, s.SmallestDeg = 1, 4, 0.4, 4
	})
	sameNumbers(t, numbers(t, mustRun(t, ds, nil)), numbers(t, got), func(path string) float64 {
		for _, amount := range []string{
			".planned_total", ".achieved_total", ".mean_abs_error", ".mean_difference.value", ".mean_difference.se",
			".mean_difference.low", ".mean_difference.high", ".mean_shortfall", ".mean_planned", ".sd_planned", ".mean_abs_achieved",
		} {
			if strings.HasSuffix(path, amount) {
				return 2
			}
		}
		if (strings.Contains(path, ".in_unit.") || strings.Contains(path, ".amounts.")) && !strings.HasSuffix(path, ".df") {
			return 2
		}
		if strings.Contains(path, ".balance[0].") && !strings.HasSuffix(path, ".smd") {
			return 2 // planned amount
		}
		return 1
	})
}

// TestLeftAndRight: mirrored mouths give the same numbers, tooth by tooth of
// the other side.
func TestLeftAndRight(t *testing.T) {
	cases := audittest.Everyday(60, 20)
	ds, mirrored := invented(7, cases), invented(7, cases)
	other := map[int]int{1: 2, 2: 1, 3: 4, 4: 3}
	flip := func(x casebook.Tooth) casebook.Tooth { return casebook.Tooth(10*other[x.Quadrant()] + x.Position()) }
	for i := range mirrored.Movements {
		mirrored.Movements[i].Tooth = flip(mirrored.Movements[i].Tooth)
	}
	a, b := mustRun(t, ds, nil), mustRun(t, mirrored, nil)
	for _, c := range a.Expression {
		by := c.By
		if by.Tooth != 0 {
			by.Tooth = flip(by.Tooth)
		}
		got := cellOf(t, b, by)
		assert.InDelta(t, float64(c.Estimate), float64(got.Estimate), 1e-9)
		assert.Equal(t, c.Cases, got.Cases)
		if c.Low.OK() {
			assert.InDelta(t, float64(c.Low), float64(got.Low), 1e-9)
		}
	}
	for _, c := range a.Comparisons {
		got := comparisonOf(t, b, c.By)
		assert.Equal(t, c.Verdict, got.Verdict)
		if c.Adjusted.P.OK() {
			assert.InDelta(t, float64(c.Adjusted.Difference), float64(got.Adjusted.Difference), 1e-9)
		}
	}
}

// TestSwappedStyles: with the names of the two styles exchanged every
// difference changes its sign and higher becomes lower.
func TestSwappedStyles(t *testing.T) {
	cases := audittest.Everyday(100, 60)
	ds, swapped := invented(8, cases), invented(8, cases)
	for i := range swapped.Movements {
		switch m := &swapped.Movements[i]; m.Style {
		case casebook.SoftwareSuggested:
			m.Style = casebook.ClinicianDesigned
		case casebook.ClinicianDesigned:
			m.Style = casebook.SoftwareSuggested
		}
	}
	a, b := mustRun(t, ds, nil), mustRun(t, swapped, nil)
	require.Len(t, b.Comparisons, len(a.Comparisons))
	opposite := map[results.Verdict]results.Verdict{
		results.Higher: results.Lower, results.Lower: results.Higher,
		results.NotDistinguishable: results.NotDistinguishable, results.NotComparable: results.NotComparable,
	}
	for i, c := range a.Comparisons {
		got := b.Comparisons[i]
		assert.Equal(t, opposite[c.Verdict], got.Verdict)
		if c.Adjusted.P.OK() {
			assert.InDelta(t, -float64(c.Adjusted.Difference), float64(got.Adjusted.Difference), 1e-8)
			assert.InDelta(t, float64(c.Adjusted.P), float64(got.Adjusted.P), 1e-7)
			assert.InDelta(t, float64(c.Arms[0].AdjustedRatio), float64(got.Arms[1].AdjustedRatio), 1e-8)
		}
	}
}

// TestDroppedRowShows: leaving out any one movement changes what it must.
func TestDroppedRowShows(t *testing.T) {
	ds := invented(9, 12)
	full := mustRun(t, ds, nil)
	for drop := 0; drop < len(ds.Movements); drop += audittest.Everyday(37, 111) {
		less := *ds
		less.Movements = slices.Delete(slices.Clone(ds.Movements), drop, drop+1)
		r := mustRun(t, &less, nil)
		assert.Equal(t, full.Flow.Steps[0].Movements-1, r.Flow.Steps[0].Movements)
		m := ds.Movements[drop]
		if m.Planned == 0 || !m.Achieved.OK || full.Scope.Movements == r.Scope.Movements {
			continue
		}
		by := results.By{Axis: m.Axis, Course: results.Initial}
		if m.Course > 1 {
			by.Course = results.Refinement
		}
		assert.NotEqual(t, cellOf(t, full, by).PlannedTotal, cellOf(t, r, by).PlannedTotal)
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := audit.Run(ctx, invented(1, 20), results.DefaultSettings(), "test")
	assert.ErrorIs(t, err, context.Canceled)
}

func TestBrokenCallers(t *testing.T) {
	ctx := context.Background()
	_, err := audit.Run(ctx, &casebook.Dataset{}, results.Settings{}, "test")
	assert.ErrorContains(t, err, "confidence level")
	ds := logged(move("a", 11, casebook.Vertical, 1, 1, casebook.NoStyle), move("a", 11, casebook.Vertical, 1, 2, casebook.NoStyle))
	_, err = audit.Run(ctx, ds, results.DefaultSettings(), "test")
	assert.ErrorContains(t, err, "recorded twice")
	assert.NotContains(t, err.Error(), "\"a\"")
	ds = &casebook.Dataset{Cases: []casebook.Case{{ID: "a"}, {ID: "a"}}}
	_, err = audit.Run(ctx, ds, results.DefaultSettings(), "test")
	assert.ErrorContains(t, err, "logged twice")
}

// TestNothing: an empty database is audited too, and says so.
func TestNothing(t *testing.T) {
	r := mustRun(t, &casebook.Dataset{}, nil)
	assert.Empty(t, r.Expression)
	assert.Empty(t, r.Comparisons)
	assert.True(t, hasWarning(r.Warnings, "nothing-analysed"))
	assert.NotRegexp(t, `"(expression|comparisons|findings|excluded|warnings|losses|bounds|repeats|unplanned|replanned)":null`, string(asJSON(t, r)))
}
