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

// A case whose refinements are stated and not on record shows how many there were and how
// long it took, and no count of what was planned again.
func TestStatedRefinementsAreShown(t *testing.T) {
	two := 2
	s := &results.CaseSheet{ID: "M-1", Months: 14, Stated: &two, Planned: 17, Courses: []results.SheetCourse{{Number: 1, Teeth: 8, Measured: true}}}
	c := caseMaker{s: s}
	assert.Contains(t, c.counts().Plain(), "2 refinements stated")
	assert.NotContains(t, c.counts().Plain(), "planned again")
	bars := c.timeline().Drawings[0].(timeDrawing).Bars
	require.Len(t, bars, 2)
	assert.Equal(t, "Whole treatment", bars[0].Label)
	assert.InDelta(t, 14, bars[0].Length, 0)
	assert.Equal(t, "14\u00a0months, 2\u00a0refinements stated", bars[0].Note)
	s.Stated, s.Courses[0].Length = nil, 14
	assert.Contains(t, c.counts().Plain(), "planned again")
	assert.Len(t, c.timeline().Drawings[0].(timeDrawing).Bars, 1, "the course tells it")
}

// A sheet with clinicians and months says that it stays in the practice; one of pseudonyms
// alone says so.
func TestFootOfCaseSheets(t *testing.T) {
	for shared, foot := range map[bool]string{true: "pseudonyms only", false: "not to be passed on"} {
		s := results.CaseSheets{Provenance: results.Provenance{Settings: results.Settings{Shared: shared}}}
		d, err := Cases(&s)
		require.NoError(t, err)
		assert.Contains(t, d.Foot, foot)
	}
}
