package between

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestPrintedEValueIsThatOfTheLimit: VanderWeele & Ding 2017 (Ann Intern Med
// 167:268-274, table 2), worked anew: RR = exp(0.91 d), E = RR + root(RR (RR - 1)), d
// the limit nearer to zero over the spread of expression about each arm's own.
func TestPrintedEValueIsThatOfTheLimit(t *testing.T) {
	p := classPractice(t, 0.15, func(m *casebook.Movement) bool { return m.Style == casebook.ClinicianDesigned })
	cs, err := Comparisons(context.Background(), p)
	require.NoError(t, err)
	var c *results.Comparison
	for i := range cs {
		if cs[i].By == extrusion {
			c = &cs[i]
		}
	}
	require.NotNil(t, c)
	require.Equal(t, results.Higher, c.Verdict)
	var sum, weight float64
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if r.Direction != casebook.Extrusion || !r.First || r.Style != casebook.SoftwareSuggested && r.Style != casebook.ClinicianDesigned {
			continue
		}
		arm := c.Arms[0]
		if r.Style == casebook.ClinicianDesigned {
			arm = c.Arms[1]
		}
		d := r.Achieved/r.Planned - float64(arm.Expression)
		sum, weight = sum+r.Planned*d*d, weight+r.Planned
	}
	of := func(d results.Number) float64 {
		rr := math.Exp(0.91 * float64(d) / math.Sqrt(sum/weight))
		return rr + math.Sqrt(rr*(rr-1))
	}
	limit, estimate := of(c.Adjusted.Low), of(c.Adjusted.Difference)
	assert.InEpsilon(t, limit, float64(c.EValue.Limit), 1e-9)
	require.NotEqual(t, fmt.Sprintf("%.1f", limit), fmt.Sprintf("%.1f", estimate))
	assert.Contains(t, c.EValue.Sentence, fmt.Sprintf("related about %.1f-fold", limit))
	assert.NotContains(t, c.EValue.Sentence, fmt.Sprintf("%.1f", estimate))
}
