package section

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// What is printed as short is what is printed as planned less what is printed
// as achieved, and no mark of a list reads as a number.
func TestCaseRowsAddUp(t *testing.T) {
	p := sampledata.Default()
	p.Cases = 30
	ds, _ := sampledata.Generate(p, 9)
	var ids []casebook.CaseKey
	for i := range 6 {
		ids = append(ids, ds.Cases[i].Key())
	}
	s, err := audit.MakeCaseSheets(ds, ids, results.DefaultSettings(), "0.1.0")
	require.NoError(t, err)
	checked := 0
	for i := range s.Sheets {
		c := caseMaker{s: &s.Sheets[i], set: s.Provenance.Settings}
		for _, m := range c.s.Movements {
			if !m.Achieved.OK() {
				continue
			}
			r := c.row(m)
			var v [3]float64
			for i, text := range []string{r.Planned, r.Achieved, r.Short} {
				_, err := fmt.Sscan(strings.NewReplacer("−", "-", "\u00a0mm", "", "°", "").Replace(text), &v[i])
				require.NoError(t, err, text)
			}
			assert.InDelta(t, v[0]-v[1], v[2], 1e-9, "%v %v", m.Tooth, m.Direction)
			checked++
		}
	}
	assert.Greater(t, checked, 50)
	d, err := Cases(s)
	require.NoError(t, err)
	require.NoError(t, d.Check())
}
