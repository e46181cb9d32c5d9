package ask_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/replanned"
	"shortfall/audit/audittest"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

func set(t *testing.T, ds *casebook.Dataset) *rows.Set {
	t.Helper()
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	return p
}

// TestSameMouthAgainstR: the invented practice by the last part of audit/testdata/questions.R
// (R 4.2.2, clubSandwich 0.5.8, lm with a dummy for each case).
func TestSameMouthAgainstR(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	x := replanned.SameMouth(set(t, ds))
	d := x.Difference
	for i, want := range [5]float64{0.0138655689990859, 0.0174273426904097, 87.6552418105813, -0.0207695111223474, 0.0485006491205192} {
		assert.InEpsilon(t, want, float64([]results.Number{d.Difference, d.SE, d.DF, d.Low, d.High}[i]), 1e-6, i)
	}
	assert.Contains(t, x.Adjusters, "tooth")
	assert.Contains(t, x.Reading, "planned again more often")
}

// TestPlannedAgainFollowsNoPatient: where clinicians design for those who respond poorly,
// whose teeth are planned again more often, the styles do not differ within mouths, though
// between them they do; where the designs express less, they do.
func TestPlannedAgainFollowsNoPatient(t *testing.T) {
	n := audittest.Practices(t, 20)
	all := simulate.Scenarios()
	told := func(effect float64) (count map[results.Verdict]int, apart int) {
		count = map[results.Verdict]int{}
		for seed := range uint64(n) {
			p := simulate.New(60, 0.2, 0.5, 0)
			for i := range all {
				if all[i].Name == "follows response" {
					all[i].Apply(p)
				}
			}
			p.Refinements = true
			for _, d := range p.Directions {
				p.Effect[d] = effect
			}
			s := set(t, p.Make(seed+1))
			count[replanned.SameMouth(s).Verdict]++
			again := map[casebook.Style]results.Share{}
			for _, r := range replanned.Answer(s) {
				if r.Axis == casebook.NoAxis {
					again[r.Style] = r.Again
				}
			}
			if again[casebook.ClinicianDesigned].Low > again[casebook.SoftwareSuggested].High {
				apart++
			}
		}
		return count, apart
	}
	none, apart := told(0)
	assert.LessOrEqual(t, n-none[results.NotDistinguishable], 1+n/10)
	assert.Greater(t, apart, n/3, "the test tests nothing")
	some, _ := told(-0.15)
	assert.Greater(t, some[results.Higher], n/2)
	assert.Zero(t, some[results.Lower])
	t.Logf("%d practices: told without effect %d, where shares with their intervals lie apart %d; 15 points less found %d", n, n-none[results.NotDistinguishable], apart, some[results.Higher])
}

// TestReadingsSayWhichWay: less often has its size without a sign.
func TestReadingsSayWhichWay(t *testing.T) {
	x := &results.SharesWithin{Both: 30, Difference: results.Difference{Difference: -0.1, Low: -0.15, High: -0.05}}
	for verdict, want := range map[results.Verdict]string{results.Lower: "less often than those with software-suggested ones, by 10", results.NotDistinguishable: "neither"} {
		x.Verdict = verdict
		assert.Contains(t, strings.ReplaceAll(between.ReadShares(&results.Settings{Level: 0.95}, x, "planned again"), "\u00a0", " "), want)
	}
}

// TestSharesAsCountedAreExplained beside a difference within patients, where both are shown.
func TestSharesAsCountedAreExplained(t *testing.T) {
	rs := []results.Replanned{
		{Style: casebook.SoftwareSuggested, Again: results.Share{Numerator: 56, Denominator: 100}},
		{Style: casebook.ClinicianDesigned, Again: results.Share{Numerator: 47, Denominator: 100}},
		{Axis: casebook.Rotation, Style: casebook.ClinicianDesigned, Again: results.Share{Numerator: 1, Denominator: 100}},
	}
	assert.Contains(t, strings.ReplaceAll(replanned.AsCounted(rs), "\u00a0", " "), "47 % of clinician-designed and 56 % of software-suggested ones were. Both are right")
	rs[0].Suppressed = true
	assert.Empty(t, replanned.AsCounted(rs), "what is withheld is not said")
}
