package compare

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// Treatment names the column whose coefficient is the difference.
const Treatment = "choice compared"

// model is a weighted regression within mouths: outcome and columns less their
// weighted mean in the mouth, times the root of the weight, so that mouth
// effects are absorbed (Frisch & Waugh 1933, Econometrica 1:387-401). The
// variance is CR2 by patient on these rows, which equals that of the model with
// an indicator for every mouth where the working covariance is 1/weight and
// mouths nest in patients (Pustejovsky & Tipton 2018, J Bus Econ Stat
// 36:672-683, theorem 2); degrees of freedom by Satterthwaite.
type model struct {
	names   []string
	x       []float64 // rows x columns; the choice is the last of the first block
	y       []float64
	patient []int
}

// within builds the model of rows with an outcome y, one value a movement of the Data.
func (d *Data) within(rows []int, y []float64, cols []column) *model {
	p := len(cols)
	sums := map[int][]float64{} // by mouth: weight, y, columns
	for _, i := range rows {
		s := sums[d.Mouth[i]]
		if s == nil {
			s = make([]float64, p+2)
			sums[d.Mouth[i]] = s
		}
		w := d.Planned[i]
		s[0], s[1] = s[0]+w, s[1]+w*y[i]
		for k := range cols {
			s[k+2] += w * cols[k].values[i]
		}
	}
	m := &model{x: make([]float64, 0, len(rows)*p), y: make([]float64, 0, len(rows)), patient: make([]int, 0, len(rows))}
	for k := range cols {
		m.names = append(m.names, cols[k].name)
	}
	for _, i := range rows {
		s, root := sums[d.Mouth[i]], math.Sqrt(d.Planned[i])
		m.y = append(m.y, root*(y[i]-s[1]/s[0]))
		for k := range cols {
			m.x = append(m.x, root*(cols[k].values[i]-s[k+2]/s[0]))
		}
		m.patient = append(m.patient, d.Patient[i])
	}
	return m
}

// fit by least squares with CR2 by patient.
func (m *model) fit() (*robust.LinearFit, error) {
	return robust.FitLinear(stats.LinearModel{Names: m.names, X: m.x, Y: m.y, Cluster: m.patient}, stats.CR2)
}

// grams are the cross products of one group of patients.
type gram struct {
	xx, xy []float64
}

// grams sums the cross products by a group of each patient.
func (m *model) grams(group func(patient int) int) map[int]*gram {
	p := len(m.names)
	out := map[int]*gram{}
	for i, y := range m.y {
		g := out[group(m.patient[i])]
		if g == nil {
			g = &gram{make([]float64, p*p), make([]float64, p)}
			out[group(m.patient[i])] = g
		}
		row := m.x[i*p : (i+1)*p]
		for a, u := range row {
			g.xy[a] += u * y
			for b, v := range row[:a+1] {
				g.xx[a*p+b] += u * v
				if a != b {
					g.xx[b*p+a] += u * v
				}
			}
		}
	}
	return out
}

// without gives the coefficient of the last column when one group after the
// other is left out: exact, since what is left out shares no mouth with the
// rest. NaN where the rest cannot carry it.
func (m *model) without(grams map[int]*gram) map[int]float64 {
	p := len(m.names)
	all := gram{make([]float64, p*p), make([]float64, p)}
	for _, k := range sortedKeys(grams) {
		addTo(all.xx, grams[k].xx, 1)
		addTo(all.xy, grams[k].xy, 1)
	}
	out := map[int]float64{}
	xx, xy := make([]float64, p*p), make([]float64, p)
	for k, g := range grams {
		copy(xx, all.xx)
		copy(xy, all.xy)
		addTo(xx, g.xx, -1)
		addTo(xy, g.xy, -1)
		out[k] = lastCoefficient(p, xx, xy)
	}
	return out
}

func addTo(to, from []float64, by float64) {
	for i, v := range from {
		to[i] += by * v
	}
}

// lastCoefficient solves the normal equations.
func lastCoefficient(p int, xx, xy []float64) float64 {
	var c mat.Cholesky
	if !c.Factorize(mat.NewSymDense(p, xx)) || c.Cond() > 1e12 {
		return math.NaN()
	}
	var b mat.VecDense
	if c.SolveVecTo(&b, mat.NewVecDense(p, xy)) != nil {
		return math.NaN()
	}
	return b.AtVec(p - 1)
}
