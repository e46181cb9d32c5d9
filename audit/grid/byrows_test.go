package grid

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// columns are the rows of one cell: what the grid computes from sums, row by row.
type columns struct {
	planned, achieved, rising []float64
	cluster, judged           []int
	outside                   []bool
	cell                      results.Cell // what is counted
}

// cellsByRows lists the rows of every place of a slab.
func cellsByRows(p *rows.Set, s *slab) (cells [places]columns) {
	of := results.By{Axis: s.axis, Direction: s.direction, Style: s.style, Course: s.course}
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if !rows.Holds(of, r) {
			continue
		}
		for _, place := range toothPlaces[r.Tooth] {
			c := &cells[place]
			c.planned, c.achieved, c.cluster = append(c.planned, r.Planned), append(c.achieved, r.Achieved), append(c.cluster, r.Cluster)
			c.rising = append(c.rising, r.Expression())
			if r.Judged(&p.Settings) {
				c.outside, c.judged = append(c.outside, r.Outside(&p.Settings)), append(c.judged, r.Cluster)
			} else {
				c.cell.SmallPlans++
				c.cell.SmallOutside += results.Number(measure.OneIf(r.Outside(&p.Settings)))
			}
		}
	}
	return cells
}

// byRows computes a cell from its rows, one measure after the other.
func (c *columns) byRows(by results.By, s *results.Settings) results.Cell {
	cell, n := c.cell, float64(len(c.planned))
	cell.By, cell.Unit, cell.Movements, cell.Cases = by, by.Axis.Unit(), len(c.planned), measure.CountRuns(c.cluster)
	diff := make([]float64, len(c.planned))
	var planned, achieved, abs, percent, product, square, mean float64
	for i, p := range c.planned {
		a := c.achieved[i]
		planned, achieved, abs = planned+p, achieved+a, abs+math.Abs(a-p)
		percent += 100 - 100*math.Abs(p-a)/p
		product, square, diff[i] = product+p*a, square+p*p, a-p
		mean += diff[i] / n
	}
	cell.PlannedTotal, cell.AchievedTotal, cell.Estimate = results.Number(planned), results.Number(achieved), results.Number(achieved/planned)
	cell.MeanAbsError, cell.PercentF2, cell.Slope = results.Number(abs/n), results.Number(percent/n), results.Number(product/square)
	q := stats.Quantiles(c.rising, 0.25, 0.5, 0.75)
	cell.LowerQuartile, cell.MedianRatio, cell.UpperQuartile = results.Number(q[0]), results.Number(q[1]), results.Number(q[2])
	cell.OutsideTolerance = measure.ClusteredShare(c.outside, c.judged, s)
	cell.MeanDifference, cell.AveragePatient, cell.MeanShortfall = measure.NoSpread(), measure.NoSpread(), results.Number(-mean)
	cell.MeanDifference.Value = results.Number(mean)
	cell.Low, cell.High, cell.SE, cell.DF, cell.DesignEffect = results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable
	if cell.Cases < s.MinIntervalCases {
		return cell
	}
	e, _ := robust.RatioOfSums(c.achieved, c.planned, c.cluster, s.Level)
	cell.Low, cell.High, cell.SE, cell.DF = results.Number(e.Low), results.Number(e.High), results.Number(e.SE), results.Number(e.DF)
	var u2 float64
	for i, p := range c.planned {
		u := c.achieved[i] - e.Value*p
		u2 += u * u
	}
	cell.DesignEffect = measure.OrMissing(max(1, e.SE*e.SE*planned*planned*(n-1)/(n*u2)))
	if a, err := robust.AverageOfCases(c.achieved, c.planned, c.cluster, s.Level); err == nil {
		cell.AveragePatient, cell.AverageDiffers = measure.Spread(a.Estimate), a.Pooled.P < 1-s.Level
	}
	if m, err := robust.ClusteredMean(diff, c.cluster, s.Level); err == nil {
		cell.MeanDifference = measure.Spread(m)
	}
	return cell
}

// TestPlacesOfTeeth: a tooth counts where a cell of the same name holds its rows.
func TestPlacesOfTeeth(t *testing.T) {
	for _, tooth := range casebook.AllTeeth() {
		r := rows.Row{Tooth: tooth, Class: tooth.Class(), Arch: tooth.Arch()}
		for place := range places {
			assert.Equal(t, rows.Holds(placeBy(place), &r), slices.Contains(toothPlaces[tooth][:], uint8(place)), "%v in %+v", tooth, placeBy(place))
		}
	}
}

func expressionByRows(p *rows.Set) (out []results.Cell) {
	for _, k := range blocks(p) {
		eachSlab(p, &k, new(scratch), func(s *slab) {
			cells := cellsByRows(p, s)
			for _, place := range printOrder {
				if len(cells[place].planned) > 0 {
					out = append(out, cells[place].byRows(s.by(place), &p.Settings))
				}
			}
		})
	}
	return out
}

// TestSumsGiveWhatRowsGive: every number of every cell, from the sums of cases and from the
// rows themselves, within 1e-9; so do those of a practice whose movements all came to the same share of
// their plans but for a hair, where a sum of squares less another would be rounding alone.
func TestSumsGiveWhatRowsGive(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	var b audittest.Build
	for i := range 240 {
		hair := 1e-5 * float64((i*7)%11-5)
		b.Add(fmt.Sprintf("c%02d", i/8), 1, casebook.AllTeeth()[i%8], casebook.Rotation, float64(5+i%3), (0.7+hair)*float64(5+i%3), casebook.SoftwareSuggested)
	}
	for name, p := range map[string]*rows.Set{"sample": p, "alike": b.Prepare(t, results.DefaultSettings())} {
		t.Run(name, func(t *testing.T) {
			got, err := Expression(context.Background(), p)
			require.NoError(t, err)
			want := expressionByRows(p)
			require.Len(t, got, len(want))
			designed := 0
			for i := range got {
				same(t, reflect.ValueOf(want[i]), reflect.ValueOf(got[i]), fmt.Sprintf("%+v", got[i].By))
				designed += measure.OneIf(got[i].DesignEffect > 1)
			}
			assert.Greater(t, designed, 5)
		})
	}
}

// same compares all numbers of two values; words come from elsewhere, and Pooled is the
// model's.
func same(t *testing.T, want, got reflect.Value, where string) {
	switch want.Kind() {
	case reflect.Struct:
		for i := range want.NumField() {
			if f := want.Type().Field(i); !slices.Contains([]string{"Method", "Warnings", "Pooled"}, f.Name) {
				same(t, want.Field(i), got.Field(i), where+" "+f.Name)
			}
		}
	case reflect.Float64:
		w, g := want.Float(), got.Float()
		if math.IsNaN(w) || math.IsNaN(g) {
			require.Equal(t, math.IsNaN(w), math.IsNaN(g), where)
			return
		}
		require.InDelta(t, w, g, 1e-9*max(1, math.Abs(w)), where)
	default:
		require.Equal(t, want.Interface(), got.Interface(), where)
	}
}
