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
	m := c.model(rows, y, cols)
	m.Spent = true
	return robust.FitAbsorbed(m)
}

// rowsAtATime of the design stay in the nearest memory while its columns are written.
const rowsAtATime = 64

// model of within.
func (c *Contrast) model(rows []int, y []float64, cols []column) robust.AbsorbedModel {
	d, n, p, a := c.d, len(rows), len(cols), c.d.Arena
	m := robust.AbsorbedModel{
		X: a.Room(n * p), Y: of(a.Room, y, rows), Weights: of(a.Room, d.Planned, rows),
		Group: of(a.Ints, d.mouth, rows), Cluster: of(a.Ints, d.patient, rows), Root: c.o.Root, Arena: a,
	}
	for k := range cols {
		m.Names = append(m.Names, cols[k].name)
	}
	for from := 0; from < n; from += rowsAtATime {
		for k := range cols {
			values := cols[k].values
			for r, i := range rows[from:min(from+rowsAtATime, n)] {
				m.X[(from+r)*p+k] = values[i]
			}
		}
	}
	return m
}

// of takes the values of rows into memory.
func of[T any](memory func(n int) []T, values []T, rows []int) []T {
	out := memory(len(rows))
	for r, i := range rows {
		out[r] = values[i]
	}
	return out
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
