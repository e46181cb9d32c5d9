package stats_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/meta"
	"shortfall/audit/stats/robust"
)

// rowLaw gives every interval of a method for rows (x, y, case) at a level, in a
// fixed order. halves: twice the rows, under new case names, divide the errors by
// the square root of two, within loss (the change of small-sample factors).
type rowLaw struct {
	name   string
	halves bool
	loss   float64
	run    func(t *testing.T, x, y []float64, cluster []int, level float64) []stats.Estimate
}

func rowLaws() []rowLaw {
	return []rowLaw{
		{"Agreement", true, .02, func(t *testing.T, x, y []float64, _ []int, level float64) []stats.Estimate {
			r, err := agree.Agreement(x, y, level)
			require.NoError(t, err)
			return []stats.Estimate{r.Bias, r.LowerLimit, r.UpperLimit, r.Dahlberg, r.MethodOfMoments, r.ICC}
		}},
		{"IntraclassCorrelations", false, 0, func(t *testing.T, x, y []float64, _ []int, level float64) []stats.Estimate {
			var table [][]float64
			for i := range x {
				table = append(table, []float64{x[i], y[i], x[i] + .3*y[i]})
			}
			r, err := agree.IntraclassCorrelations(table, level)
			require.NoError(t, err)
			return []stats.Estimate{r.OneWay, r.Agreement, r.Consistency, r.OneWayAverage, r.AgreementAverage, r.ConsistencyAverage}
		}},
		{"Meta", true, .02, func(t *testing.T, x, y []float64, _ []int, level float64) (all []stats.Estimate) {
			v := make([]float64, len(y))
			for i := range y {
				v[i] = .01 + y[i]*y[i]/20
			}
			for _, m := range []meta.MetaMethod{meta.EqualEffects, meta.DerSimonianLaird, meta.RestrictedML, meta.MaximumLikelihood, meta.PauleMandel} {
				for _, hk := range []bool{false, true} {
					r, err := meta.Meta(x, v, m, hk, level)
					require.NoError(t, err)
					all = append(all, r.Estimate, stats.Estimate{Value: r.Value, Low: r.PredictionLow, High: r.PredictionHigh, SE: math.NaN(), P: math.NaN()},
						stats.Estimate{Value: (r.Tau2Low + r.Tau2High) / 2, Low: r.Tau2Low, High: r.Tau2High, SE: math.NaN(), P: math.NaN()})
				}
			}
			return all
		}},
		{"FitPrediction", false, 0, func(t *testing.T, x, y []float64, cluster []int, level float64) []stats.Estimate {
			f, err := robust.FitPrediction(y, x, cluster)
			require.NoError(t, err)
			return []stats.Estimate{f.At(.5, level), f.At(2, level)}
		}},
		{"FitSegmented", true, .1, func(t *testing.T, x, y []float64, cluster []int, level float64) []stats.Estimate {
			f, err := robust.FitSegmented(robust.SegmentedModel{Y: x, Time: y, Change: 1.1, Cluster: cluster}, stats.CR2, level)
			require.NoError(t, err)
			return []stats.Estimate{f.Level, f.TrendBefore, f.Step, f.TrendChange, f.TrendAfter}
		}},
		{"counts", true, .1, func(t *testing.T, x, y []float64, cluster []int, level float64) []stats.Estimate {
			m := glm.CountModel{Names: []string{"1", "y", "arm"}, Cluster: cluster}
			for i := range x {
				m.X = append(m.X, 1, y[i], float64(i%2))
				m.Y = append(m.Y, math.Floor(math.Abs(4*x[i])))
			}
			f, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
			require.NoError(t, err)
			return []stats.Estimate{f.RateRatio([]float64{0, 1, 0}, level), f.Contrast([]float64{0, 0, 1}, level)}
		}},
	}
}

// Every interval holds its estimate, widens with the level, has its P within 0 to
// 1, and sees no order of rows; twice the data halve the variance.
func TestLawsOfEveryInterval(t *testing.T) {
	x, y, cluster := statstest.LawData(21)
	var x2, y2, x3, y3 []float64
	var c2, c3 []int
	for i := range x {
		k := len(x) - 1 - i
		x2, y2, c2 = append(x2, x[k]), append(y2, y[k]), append(c2, 7-3*cluster[k])
	}
	x3, y3, c3 = append(append(x3, x...), x...), append(append(y3, y...), y...), append(c3, cluster...)
	for _, c := range cluster {
		c3 = append(c3, 500+c)
	}
	for _, law := range rowLaws() {
		t.Run(law.name, func(t *testing.T) {
			var width []float64
			for _, level := range []float64{.5, .8, .9, .95, .99} {
				all := law.run(t, x, y, cluster, level)
				if width == nil {
					width = make([]float64, len(all))
				}
				for k, e := range all {
					what := fmt.Sprintf("%s %d at %v: %v [%v, %v]", law.name, k, level, e.Value, e.Low, e.High)
					assert.True(t, e.Low <= e.Value && e.Value <= e.High, what)
					assert.False(t, e.P < 0 || e.P > 1, what)
					assert.GreaterOrEqual(t, e.High-e.Low, width[k], what)
					width[k] = e.High - e.Low
				}
			}
			base := law.run(t, x, y, cluster, .95)
			if law.name != "counts" { // its arms go by the row
				for k, e := range law.run(t, x2, y2, c2, .95) {
					statstest.SameEstimate(t, base[k], e, 2e-5, fmt.Sprint(law.name, " in another order ", k))
				}
			}
			if !law.halves {
				return
			}
			for k, e := range law.run(t, x3, y3, c3, .95) {
				if !math.IsNaN(e.SE) {
					assert.InEpsilon(t, base[k].SE/math.Sqrt2, e.SE, law.loss, "%s %d doubled", law.name, k)
				}
			}
		})
	}
}
