package between

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// What page one shows is repeated whatever the limit: what is called before finer cells.
func TestSensitivityTakesToldDirectionsFirst(t *testing.T) {
	cell := func(d casebook.Direction, class casebook.ToothClass, v results.Verdict) results.Comparison {
		return results.Comparison{By: results.By{Axis: d.Axis(), Direction: d, ToothClass: class, Course: results.Initial}, Verdict: v}
	}
	cs := []results.Comparison{
		cell(casebook.Extrusion, casebook.Incisor, results.Higher),
		cell(casebook.Extrusion, casebook.NoClass, results.NotDistinguishable),
		cell(casebook.MesialIn, casebook.Premolar, results.Lower),
		cell(casebook.MesialIn, casebook.NoClass, results.Lower),
		cell(casebook.MesialOut, casebook.NoClass, results.Lower),
		cell(casebook.Intrusion, casebook.NoClass, results.NotComparable),
	}
	picked := func(limit int) (out []int) {
		for _, c := range sensitiveCells(cs, limit) {
			out = append(out, slices.IndexFunc(cs, func(x results.Comparison) bool { return x.By == c.By }))
		}
		return out
	}
	assert.Equal(t, []int{3, 4, 1}, picked(1))
	assert.Equal(t, []int{3, 4, 0, 1}, picked(3))
	assert.Equal(t, []int{3, 4, 0, 2, 1}, picked(8))
}

// TestSensitivityRowIsTheComparison: a row made on the same movements is the
// comparison again; on fewer it is another.
func TestSensitivityRowIsTheComparison(t *testing.T) {
	params := sampledata.Default()
	params.Cases = audittest.Everyday(250, 120)
	ds, _ := sampledata.Generate(params, 3)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	cs, err := Comparisons(context.Background(), p)
	require.NoError(t, err)
	chosen := sensitiveCells(cs, 6)
	require.NotEmpty(t, chosen)
	moved := 0
	var variants []variant
	for _, choose := range otherChoices {
		variants = append(variants, choose(p))
	}
	for _, c := range chosen {
		all := (&variant{p: p}).row(c, new(rows.Near))
		assert.Equal(t, c.Adjusted.Difference, all.Adjusted.Difference)
		assert.Equal(t, c.Adjusted.SE, all.Adjusted.SE)
		for i := range variants {
			moved += measure.OneIf(variants[i].row(c, new(rows.Near)).Adjusted.Difference != c.Adjusted.Difference)
		}
	}
	assert.Greater(t, moved, len(chosen), "most choices change the estimate")
}
