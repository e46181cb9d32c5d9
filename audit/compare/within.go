package compare

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// Treatment names the column whose coefficient is the difference.
const Treatment = "choice compared"

// within fits outcomes y, one value a movement of the Data, on the columns among
// rows: weights are planned amounts, every mouth has a level of its own, the
// variance is CR2 by patient, on the root of the options.
func (c *Contrast) within(rows []int, y []float64, cols []column) (*robust.AbsorbedFit, error) {
	d := c.d
	m := robust.AbsorbedModel{
		X: make([]float64, 0, len(rows)*len(cols)), Y: make([]float64, 0, len(rows)), Weights: make([]float64, 0, len(rows)),
		Group: make([]int, 0, len(rows)), Cluster: make([]int, 0, len(rows)), Root: c.o.Root,
	}
	for k := range cols {
		m.Names = append(m.Names, cols[k].name)
	}
	for _, i := range rows {
		m.Y, m.Weights = append(m.Y, y[i]), append(m.Weights, d.Planned[i])
		m.Group, m.Cluster = append(m.Group, d.mouth[i]), append(m.Cluster, d.patient[i])
		for k := range cols {
			m.X = append(m.X, cols[k].values[i])
		}
	}
	return robust.FitAbsorbed(m)
}

// last contrasts the last column.
func last(f *robust.AbsorbedFit, level float64) stats.Estimate {
	return f.Contrast(lastOf(len(f.Names)), level)
}

func lastOf(n int) []float64 {
	l := make([]float64, n)
	l[n-1] = 1
	return l
}

// nothing is an estimate that could not be made.
func nothing(level float64) stats.Estimate {
	n := math.NaN()
	return stats.Estimate{Value: n, SE: n, DF: n, Low: n, High: n, P: n, Level: level}
}
