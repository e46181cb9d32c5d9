package compare_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/compare"
)

// TestAmountsOfPairsAreThePairedTTest: one movement of each choice in every mouth. The
// numbers are R's data set sleep (Student 1908, Biometrika 6:1-25), 2 added to make plans
// of them; what is expected is with(sleep, t.test(extra[group == 2] - extra[group == 1])) of
// R 4.2.2: mean 1.58, t 4.0621277, 9 degrees of freedom, 0.7001142 to 2.4598858.
func TestAmountsOfPairsAreThePairedTTest(t *testing.T) {
	first := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	second := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	d := &compare.Data{}
	add := func(patient int, planned, achieved float64, treated bool) {
		d.Patient, d.Mouth = append(d.Patient, patient), append(d.Mouth, patient)
		d.Planned, d.Achieved, d.Treated = append(d.Planned, planned), append(d.Achieved, achieved), append(d.Treated, treated)
	}
	for i := range first {
		add(i, 2+first[i], 1+float64(i%3), false)
		add(i, 2+second[i], 1.5+float64(i*i%4), true)
	}
	c, err := compare.New(d, compare.DefaultOptions())
	require.NoError(t, err)
	a, ok := c.Amounts()
	require.True(t, ok, c.Failed)
	assert.InDelta(t, 1.58, a.Planned.Value, 1e-12)
	assert.InDelta(t, 9, a.Planned.DF, 1e-9)
	assert.InDelta(t, 0.7001142, a.Planned.Low, 5e-8)
	assert.InDelta(t, 2.4598858, a.Planned.High, 5e-8)
	assert.InDelta(t, 2+(0.75+2.33)/2, a.MeanPlanned, 1e-12)
	assert.InDelta(t, 0.5+0.1*(0+1+0+1+0+1+0+1+0+1)-0.1*(0+1+2+0+1+2+0+1+2+0), a.Achieved.Value, 1e-12, "by hand")
}
