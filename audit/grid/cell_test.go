package grid

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func whole(t *testing.T, b *audittest.Build, s results.Settings) results.Cell {
	t.Helper()
	cells, err := Expression(context.Background(), b.Prepare(t, s))
	require.NoError(t, err)
	for _, c := range cells {
		if AllTeethAndStyles(&c) || c.By.Direction != 0 && c.By.Tooth == 0 && c.By.Style == 0 && c.By.Arch == 0 && c.By.ToothClass == 0 {
			return c
		}
	}
	t.Fatal("no cell over all teeth")
	return results.Cell{}
}

// TestToleranceIsAsPrinted: 1.1 less 0.6 is 0.5, on the boundary and so inside; in binary
// fractions it is a little more. 0.504 is printed as 0.5 and is inside too, 0.51 is outside.
func TestToleranceIsAsPrinted(t *testing.T) {
	var b audittest.Build
	for i, x := range [][2]float64{{1.1, 0.6}, {0.7, 0.2}, {1.3, 0.8}, {2.4, 1.9}, {1.3, 0.796}, {1.3, 0.79}} {
		require.True(t, i > 0 || x[0]-x[1] > 0.5, "in binary fractions")
		b.Add(fmt.Sprint(i), 1, 11, casebook.Vertical, x[0], x[1], casebook.SoftwareSuggested)
	}
	c := whole(t, &b, results.DefaultSettings())
	assert.Equal(t, [2]int{1, 6}, [2]int{c.OutsideTolerance.Numerator, c.OutsideTolerance.Denominator})
}

// TestSmallPlansStandBesideTheShare: a plan of half a millimetre cannot fall short by more
// than that; only reversed or overshot does it end outside.
func TestSmallPlansStandBesideTheShare(t *testing.T) {
	var b audittest.Build
	for i, x := range [][2]float64{{0.5, 0}, {0.5, -0.1}, {0.3, 0.9}, {0.51, 0}, {2, 1.9}} {
		b.Add(fmt.Sprint(i), 1, 11, casebook.Vertical, x[0], x[1], casebook.SoftwareSuggested)
	}
	c := whole(t, &b, results.DefaultSettings())
	assert.Equal(t, [2]int{1, 2}, [2]int{c.OutsideTolerance.Numerator, c.OutsideTolerance.Denominator})
	assert.Equal(t, [2]results.Number{2, 3}, [2]results.Number{c.SmallOutside, c.SmallPlans})
	assert.Equal(t, 5, c.Movements)
}

// TestAveragePatientIsSaidWhereItDiffers: ten patients of one movement that do well and
// two of forty that do not; the mean of the patients by hand.
func TestAveragePatientIsSaidWhereItDiffers(t *testing.T) {
	build := func(poor int) *audittest.Build {
		var b audittest.Build
		teeth := casebook.AllTeeth()
		for i := range 24 {
			n, ratio := 1, 0.9+0.01*float64(i%3)
			if i >= 12 {
				n, ratio = poor, 0.3+0.01*float64(i%3)
			}
			for k := range n {
				b.Add(fmt.Sprintf("c%02d", i), 1, teeth[k], casebook.Rotation, 10, 10*ratio, casebook.SoftwareSuggested)
			}
		}
		return &b
	}
	c := whole(t, build(20), results.DefaultSettings())
	assert.InDelta(t, 0.61, float64(c.AveragePatient.Value), 1e-9)
	assert.Less(t, float64(c.Estimate), 0.36)
	require.True(t, c.AverageDiffers)
	said := false
	for _, w := range c.Warnings {
		said = said || w.ID == "average-patient"
	}
	assert.True(t, said)
	c = whole(t, build(1), results.DefaultSettings()) // each has one movement: the two are the same
	assert.False(t, c.AverageDiffers)
	assert.InDelta(t, float64(c.Estimate), float64(c.AveragePatient.Value), 1e-12)
}

// TestDesignEffectIsAtLeastOne: cases whose teeth make up for one another have a ratio that
// is steadier than that of independent movements, by chance alone.
func TestDesignEffectIsAtLeastOne(t *testing.T) {
	build := func(alike bool) *audittest.Build {
		var b audittest.Build
		for i := range 20 {
			for k := range 4 {
				up := k%2 == 0
				if alike {
					up = i%2 == 0
				}
				b.Add(fmt.Sprintf("c%02d", i), 1, casebook.AllTeeth()[k], casebook.Rotation, 10, 6+0.1*float64(i%3)+2*float64(measure.OneIf(up)), casebook.SoftwareSuggested)
			}
		}
		return &b
	}
	assert.Equal(t, results.Number(1), whole(t, build(false), results.DefaultSettings()).DesignEffect)
	assert.InDelta(t, 4, float64(whole(t, build(true), results.DefaultSettings()).DesignEffect), 0.3, "four movements a case that say the same are worth one")
}
