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
// variance is CR2 by patient, on the root of the options. Rows that tell nothing stay out.
func (c *Contrast) within(rows []int, y []float64, cols []column) (*robust.AbsorbedFit, error) {
	return robust.FitAbsorbed(c.model(c.d.telling(rows), y, cols))
}

// telling are the rows whose mouth holds another of them. A movement alone in its mouth
// makes up the level of it and tells nothing of any column: of 200,000 movements in the
// cells of the styles it is two of five, of two of three patients. See BenchmarkTelling.
func (d *Data) telling(rows []int) []int {
	out := d.Arena.Places(len(rows))[:0]
	defer d.Arena.Release(d.Arena.Mark())
	held := d.Arena.Ints(d.mouths)
	for _, i := range rows {
		held[d.mouth[i]]++
	}
	for _, i := range rows {
		if held[d.mouth[i]] > 1 {
			out = append(out, i)
		}
	}
	return out
}

// model of within, of all the rows.
func (c *Contrast) model(rows []int, y []float64, cols []column) robust.AbsorbedModel {
	d, a := c.d, c.d.Arena
	m := robust.AbsorbedModel{
		Columns: make([]robust.Column, len(cols)), Rows: rows, Y: of(a.Room, y, rows), Weights: of(a.Room, d.Planned, rows),
		Group: of(a.Places, d.mouth, rows), Cluster: of(a.Places, d.patient, rows), Root: c.o.Root, Arena: a,
	}
	for k := range cols {
		m.Names, m.Columns[k] = append(m.Names, cols[k].name), cols[k].Column
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
