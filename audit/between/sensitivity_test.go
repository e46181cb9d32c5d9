package between

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// wholeRow repeats the whole comparison under a choice.
func wholeRow(v *variant, by results.By) results.SensitivityRow {
	rows := v.lists.Rows(v.p, by)
	if v.keep != nil {
		rows = slices.DeleteFunc(rows, func(i int32) bool { return !v.keep(&v.p.Analysed[i]) })
	}
	c := Compare(v.p, by, rows)
	out := results.SensitivityRow{
		ID: v.ID, Choice: v.choice, Adjusted: c.Adjusted, Verdict: results.NotComparable,
		Cases: CasesIn(v.p, rows), Movements: len(rows), Outside: outsideDifference(v.p, rows),
	}
	if c.Verdict != results.NotComparable {
		out.Verdict = PlainVerdict(c.Adjusted)
	}
	return out
}

func sensitivityCase(t testing.TB, cases int) (chosen []*results.Comparison, variants []variant) {
	t.Helper()
	params := sampledata.Default()
	params.Cases = cases
	ds, _ := sampledata.Generate(params, 3)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	cs, err := Comparisons(context.Background(), p)
	require.NoError(t, err)
	variants, err = allVariants(p)
	require.NoError(t, err)
	for i := range variants {
		variants[i].lists = FeaturedLists(variants[i].p)
	}
	return sensitiveCells(cs, 6), variants
}

// What page one may tell is repeated whatever the limit, before finer cells.
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
	assert.Equal(t, []int{3, 4}, picked(1))
	assert.Equal(t, []int{3, 4, 0}, picked(3))
	assert.Equal(t, []int{3, 4, 0, 2, 1}, picked(8))
}

// TestSensitivityRowIsTheComparison: a row of the sensitivity table, made with
// the model alone, is the whole comparison made again.
func TestSensitivityRowIsTheComparison(t *testing.T) {
	chosen, variants := sensitivityCase(t, 250)
	require.NotEmpty(t, chosen)
	moved := 0
	for _, c := range chosen {
		for i := range variants {
			v := &variants[i]
			want, got := wholeRow(v, c.By), v.row(c)
			assert.Equal(t, want.Verdict, got.Verdict, v.ID)
			assert.Equal(t, [2]int{want.Cases, want.Movements}, [2]int{got.Cases, got.Movements}, v.ID)
			for _, x := range [][2]results.Number{
				{want.Adjusted.Difference, got.Adjusted.Difference},
				{want.Adjusted.SE, got.Adjusted.SE},
				{want.Adjusted.DF, got.Adjusted.DF},
				{want.Adjusted.Low, got.Adjusted.Low},
				{want.Adjusted.P, got.Adjusted.P},
				{want.Adjusted.PAdjusted, got.Adjusted.PAdjusted},
				{want.Outside.Difference, got.Outside.Difference},
				{want.Outside.SE, got.Outside.SE},
			} {
				if x[0].OK() {
					assert.Equal(t, x[0], x[1], v.ID)
				} else {
					assert.True(t, math.IsNaN(float64(x[1])), v.ID)
				}
			}
			moved += measure.OneIf(got.Adjusted.Difference != c.Adjusted.Difference)
		}
	}
	assert.Greater(t, moved, len(chosen), "most choices change the estimate")
}

// BenchmarkSensitivityRows sets the model alone against whole comparisons.
func BenchmarkSensitivityRows(b *testing.B) {
	chosen, variants := sensitivityCase(b, 1000)
	b.Run("model", func(b *testing.B) {
		for b.Loop() {
			for i := range variants {
				variants[i].row(chosen[0])
			}
		}
	})
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			for i := range variants {
				wholeRow(&variants[i], chosen[0].By)
			}
		}
	})
}
