package between

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// told counts audits with a whole direction called, by course.
type told struct{ audits, initial, refined, judgedInitial, judgedRefined, between int }

func (c *told) add(t *testing.T, ds *casebook.Dataset) {
	t.Helper()
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	cs, err := Comparisons(context.Background(), p)
	require.NoError(t, err)
	c.audits++
	var calls, judged [2]bool
	apart := false
	for i := range cs {
		x := &cs[i]
		if !x.By.WholeDirection() {
			continue
		}
		k := 0
		if x.By.Course == results.Refinement {
			k = 1
		}
		calls[k] = calls[k] || x.Verdict == results.Higher || x.Verdict == results.Lower
		judged[k] = judged[k] || x.Verdict != results.NotComparable
		if d := x.Readings[1].Difference; k == 0 && d.P.OK() {
			apart = apart || float64(d.P) < 0.0125
		}
	}
	count := func(n *int, b bool) {
		if b {
			*n++
		}
	}
	count(&c.initial, calls[0])
	count(&c.refined, calls[1])
	count(&c.judgedInitial, judged[0])
	count(&c.judgedRefined, judged[1])
	count(&c.between, apart)
}

// TestPracticesWithoutEffect: simulated practices in which the styles do not
// differ, through the rows and the grid. What a comparison between patients would
// call, beside it, is what the design of this package is against. The long form:
//
//	SHORTFALL_PRACTICES=1000 go test ./audit/between -run WithoutEffect -v -timeout 2h
func TestPracticesWithoutEffect(t *testing.T) {
	n := audittest.Practices(t, 12)
	if !audittest.Long() {
		n = 2
	}
	for _, s := range simulate.Scenarios() {
		switch s.Name {
		case "follows response", "failure-driven redesign", "drift", "two clinicians", "saturating, disjoint plans":
		default:
			continue
		}
		var c told
		for seed := range n {
			p := simulate.New(80, 0.25, 0.3, 0.05)
			p.Movements = 20
			s.Apply(p)
			c.add(t, p.Make(uint64(seed)+1))
		}
		t.Logf("%-28s of %d audits called: initial %d (judged %d), refinements %d (judged %d); between patients alone %d",
			s.Name, c.audits, c.initial, c.judgedInitial, c.refined, c.judgedRefined, c.between)
		// Three standard errors above 5 %.
		most := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n))
		assert.LessOrEqual(t, float64(c.initial), most, s.Name)
		assert.LessOrEqual(t, float64(c.refined), most, s.Name)
		if s.Name == "failure-driven redesign" {
			assert.Positive(t, c.judgedRefined, "refinements with their earlier course are compared")
		}
	}
}
