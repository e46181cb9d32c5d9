package between

import (
	"math"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a third of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// TestSharesOfTheLevel: a declared comparison takes half of the level, divided by its
// looks, and leaves the directions the other half; undeclared they have it all, corrected
// by Holm's method; finer cells share it by the false discovery rate.
func TestSharesOfTheLevel(t *testing.T) {
	fine := extrusion
	fine.ToothClass = casebook.Incisor
	judged := func(looks int, declared bool, by results.By, ps ...float64) (out []results.Verdict) {
		p := &rows.Set{Settings: results.DefaultSettings()}
		if declared {
			p.Settings.Primary = extrusion
		}
		for range looks {
			p.Settings.PrimaryLooks = append(p.Settings.PrimaryLooks, casebook.NewMonth(2026, 1))
		}
		var cs []results.Comparison
		var candidates []compare.Candidate
		for i, v := range ps {
			c := results.Comparison{By: by, Primary: declared && i == 0, Adjusted: measure.NoDifference(), Readings: []results.Reading{}}
			c.By.Direction = casebook.Directions()[i]
			cs = append(cs, c)
			candidates = append(candidates, compare.Candidate{Difference: 0.1, P: v, ClassP: math.NaN(), WithoutDoubted: math.NaN()})
		}
		judge(p, cs, candidates)
		for i := range cs {
			out = append(out, cs[i].Verdict)
		}
		return out
	}
	yes, no := results.Higher, results.NotDistinguishable
	assert.Equal(t, []results.Verdict{yes}, judged(0, false, extrusion, 0.049))
	assert.Equal(t, []results.Verdict{no, no}, judged(0, false, extrusion, 0.026, 0.049), "two directions")
	assert.Equal(t, []results.Verdict{yes, yes}, judged(0, false, extrusion, 0.024, 0.049), "the larger P of two has the whole level")
	assert.Equal(t, []results.Verdict{yes, yes}, judged(0, true, extrusion, 0.024, 0.024))
	assert.Equal(t, []results.Verdict{no, no}, judged(0, true, extrusion, 0.026, 0.026))
	assert.Equal(t, []results.Verdict{no, yes}, judged(2, true, extrusion, 0.013, 0.024), "two looks")
	assert.Equal(t, []results.Verdict{yes, yes}, judged(2, true, extrusion, 0.012, 0.024))
	assert.Equal(t, []results.Verdict{yes, yes}, judged(0, false, fine, 0.026, 0.049), "Benjamini and Hochberg")
}
