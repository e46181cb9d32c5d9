package chart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The legend names every way in which a tooth is drawn, and none that does not
// occur; where nothing was planned a tooth has no fill and a broken outline, which
// tells it from the palest step without colour.
func TestLegendNamesWhatIsDrawn(t *testing.T) {
	all, few := archOf("a", false), archOf("b", false)
	for i := range few.Teeth {
		few.Teeth[i].Strong, few.Teeth[i].Few = false, false
		few.Teeth[i].Value = 0.9
	}
	for _, side := range []bool{true, false} {
		drawn := svg(t, Arches{Title: "a", Across: 1, Side: side, Arches: []Arch{all}}.Draw(174))
		plain := svg(t, Arches{Title: "a", Across: 1, Side: side, Arches: []Arch{few}}.Draw(174))
		for _, words := range []string{"named above", "none planned"} {
			assert.Contains(t, drawn, ">"+words+"<")
			assert.NotContains(t, plain, ">"+words+"<")
		}
		assert.Contains(t, drawn, "stroke-dasharray")
		assert.NotContains(t, plain, "stroke-dasharray")
	}
}

// A third molar that is not drawn is not in the legend either.
func TestLegendLeavesOutWhatIsNotDrawn(t *testing.T) {
	a := archOf("a", false)
	a.Teeth[27].Value = 0.5
	assert.NotContains(t, svg(t, Arches{Across: 1, Arches: []Arch{a}}.Draw(174)), "none planned")
}

// The names of the styles stand in one order, whichever style achieved more.
func TestNamesOfTheStylesKeepTheirOrder(t *testing.T) {
	for _, clinician := range []float64{0.1, 0.9} {
		d := Dots{Software: "software", Clinician: "clinician", Groups: []DotGroup{{Rows: []DotRow{{Pair: true, Software: 0.5, Clinician: clinician}}}}}
		at := map[string]float64{}
		for _, it := range d.Draw(174).Items {
			if text, ok := it.(Text); ok {
				at[text.Text] = text.At.X
			}
		}
		require.Contains(t, at, "software")
		require.Contains(t, at, "clinician")
		assert.Less(t, at["software"], at["clinician"])
	}
}
