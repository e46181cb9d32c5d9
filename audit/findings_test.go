package audit_test

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestFindingsVoice: plain sentences with numbers, an interval, what they do
// not show and a question; no stars, no ranking, no "significant", no cause.
func TestFindingsVoice(t *testing.T) {
	for _, shared := range []bool{false, true} {
		r := standing(t, sampledata.DefaultSeed)
		if shared {
			r = spoken(t)["shared"]
		}
		require.GreaterOrEqual(t, len(r.Findings), 4)
		require.LessOrEqual(t, len(r.Findings), 5)
		kinds := map[results.FindingKind]bool{}
		for _, f := range r.Findings {
			kinds[f.Kind] = true
			if f.Kind != "change" { // there is nothing to measure change against
				assert.Regexp(t, `\d`, f.Text)
			}
			assert.Regexp(t, `\.$`, f.Text)
			assert.NotEmpty(t, f.Limits)
			assert.LessOrEqual(t, len(strings.Fields(f.Text)), 66, f.Text)
			assert.LessOrEqual(t, len(strings.Fields(f.Limits)), 25, f.Limits)
			assert.Regexp(t, `\?$`, f.Action)
			assert.NotRegexp(t, regexp.MustCompile(`(?i)significan|!|\*|prove|cause[sd]|because of|NaN|Inf|better clinician`), f.Text+f.Limits+f.Action)
		}
		for _, k := range []results.FindingKind{"short", "style", "refinements", "quality"} {
			assert.True(t, kinds[k], k)
		}
	}
}

// TestShortFindingIsTheLowest: by hand, the lowest estimates of direction x
// class in initial courses whose interval lies below 1 and whose mean shortfall
// is beyond the tolerance.
func TestShortFindingIsTheLowest(t *testing.T) {
	r := standing(t, sampledata.DefaultSeed)
	var short []results.Cell
	for _, c := range r.Expression {
		plain := results.By{Axis: c.By.Axis, Direction: c.By.Direction, ToothClass: c.By.ToothClass, Course: results.Initial}
		tolerance := map[casebook.Unit]results.Number{casebook.Millimetre: 0.5, casebook.Degree: 2}[c.Unit]
		if c.By == plain && c.By.Direction != 0 && c.By.ToothClass != 0 && c.High.OK() && c.High < 1 && c.MeanShortfall > tolerance {
			short = append(short, c)
		}
	}
	require.Greater(t, len(short), 2)
	slices.SortFunc(short, func(a, b results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	text := r.Findings[0].Text
	for _, c := range short[:2] {
		assert.Contains(t, text, fmt.Sprintf("%s of %ss (%.0f\u00a0%%", c.By.Direction, c.By.ToothClass, 100*float64(c.Estimate)))
	}
	third := short[2].By
	assert.NotContains(t, text, fmt.Sprintf("%s of %ss", third.Direction, third.ToothClass))
}

// TestStyleFindingSpeaksInDirections: each direction over all teeth in initial
// courses is told, open or not comparable, and none is counted twice.
func TestStyleFindingSpeaksInDirections(t *testing.T) {
	r := standing(t, sampledata.DefaultSeed)
	i := slices.IndexFunc(r.Findings, func(f results.Finding) bool { return f.Kind == "style" })
	require.GreaterOrEqual(t, i, 0)
	text := r.Findings[i].Text
	open, told := 0, 0
	for _, c := range r.Comparisons {
		if c.By != (results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: results.Initial}) {
			continue
		}
		switch c.Verdict {
		case results.Higher, results.Lower:
			told++
			assert.Contains(t, text, fmt.Sprintf("in %s (", c.By.Direction))
		case results.NotDistinguishable:
			open++
		}
	}
	require.NotZero(t, told)
	assert.Contains(t, text, fmt.Sprintf("in %d other directions", open))
}

func TestNothingToCompareIsSaid(t *testing.T) {
	ds := invented(1, 60)
	for i := range ds.Movements {
		if ds.Movements[i].Style == casebook.ClinicianDesigned {
			ds.Movements[i].Style = casebook.SoftwareSuggested
		}
	}
	r := mustRun(t, ds, nil)
	i := slices.IndexFunc(r.Findings, func(f results.Finding) bool { return f.Kind == "style" })
	require.GreaterOrEqual(t, i, 0)
	assert.Contains(t, r.Findings[i].Text, "cannot be judged yet")
}

// TestNoSmallNumberInFindings: what a shared audit withholds it does not tell
// in words either.
func TestNoSmallNumberInFindings(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		r := mustRun(t, invented(seed, 12), func(s *results.Settings) { s.Shared = true })
		for _, f := range r.Findings {
			assert.NotRegexp(t, `\b[1-4] cases?\b`, f.Text)
		}
	}
}

// TestSayings: every measure has a definition, every caution is there.
func TestSayings(t *testing.T) {
	r := mustRun(t, invented(1, 20), nil)
	all := ""
	for _, d := range r.Definitions {
		assert.NotEmpty(t, d.Term)
		assert.NotEmpty(t, d.Formula)
		all += d.Term + d.Formula
	}
	for _, id := range []string{"F1", "F2", "F3", "F4", "F5", "F6", "F7"} {
		assert.Contains(t, all, "("+id+")")
	}
	assert.Contains(t, all, "0.5 mm or 2 degrees")
	require.Len(t, r.Cautions, 3)
	assert.Contains(t, r.Cautions[0], "association")
	assert.Contains(t, r.Cautions[1], "licensed clinician")
	assert.Contains(t, r.Cautions[2], "not a prediction")
}
