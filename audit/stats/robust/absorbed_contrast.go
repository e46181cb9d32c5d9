package robust

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// Contrast estimates c'b, c over all columns, with its CR2 standard error and
// Satterthwaite's degrees of freedom (Bell & McCaffrey 2002, equation 4.2;
// Pustejovsky & Tipton 2018), tested against 0. N and Clusters are the rows and
// clusters that contribute: those of groups within which the compared columns
// vary (both styles in one mouth). What is not estimable has NaN limits and a
// warning. Panics where len(c) is not the number of columns or level is outside
// (0, 1).
func (f *AbsorbedFit) Contrast(c []float64, level float64) stats.Estimate {
	who := f.contributing(c)
	rows := 0
	clusters := 0
	for _, w := range who {
		rows += w
		if w > 0 {
			clusters++
		}
	}
	e, l, ok := sandwich.StartContrast(&f.fit.Solution, rows, clusters, c, level)
	e.Method = fmt.Sprintf("within groups by least squares, CR2 variance by case on %s, t on Satterthwaite df", f.Root)
	switch {
	case !ok:
	case clusters < 2:
		e.NotEstimable(stats.OneCluster)
	default:
		sandwich.FinishRobust(&e, f.variance(), l, f.fit.Size())
	}
	return e
}

// JointTest tests that all contrasts are zero by the approximate Hotelling T^2
// test (Pustejovsky & Tipton 2018, section 3.2, equation 11). Panics where a row
// does not fit the columns.
func (f *AbsorbedFit) JointTest(contrasts [][]float64) stats.JointTest {
	return sandwich.RobustJoint(&f.fit.Solution, f.variance(), contrasts, fmt.Sprintf("within groups, approximate Hotelling T-squared, CR2 variance by case on %s", f.Root))
}

// contributors keep who contributes to one contrast: it depends on the design alone.
type contributors struct {
	c    []float64 // nil: none yet
	rows []int
}

// contributing counts, for each cluster, the rows of groups within which the
// columns of c vary.
func (f *AbsorbedFit) contributing(c []float64) []int {
	w := f.who
	if w.c != nil && slices.Equal(w.c, c) {
		return w.rows
	}
	w.c, w.rows = slices.Clone(c), f.fit.Contributing(c)
	return w.rows
}

// nothingLeft is the share of a comparison's information below which what is left
// without a cluster is rounding.
const nothingLeft = 1e-9

// CaseInfluence is what one cluster does to a contrast.
type CaseInfluence struct {
	Cluster  int     // its id
	Rows     int     // that contribute; 0: both styles are not in one of its groups
	Leverage float64 // share of the comparison's information; the shares sum to 1
	Without  float64 // the estimate without the cluster; NaN where nothing is left to compare
}

// Influence gives for each cluster, in the order of ids, its leverage
// |T_g l|^2 / |l|^2 and the estimate without it (sandwich.Deletions), which is exact, for
// a cluster takes its own groups with it. Nil where the contrast is not estimable.
// Panics as Contrast does.
func (f *AbsorbedFit) Influence(c []float64) []CaseInfluence {
	e, l, ok := sandwich.StartContrast(&f.fit.Solution, f.N, f.Clusters, c, .95)
	if !ok {
		return nil
	}
	who, size := f.contributing(c), numeric.Dot(l, l)
	out := make([]CaseInfluence, f.Clusters)
	for k, d := range sandwich.NewBlockSandwich(f.fit).Deletions(l) {
		out[k] = CaseInfluence{
			Cluster: f.id(k), Rows: who[k],
			Leverage: d.Leverage / size, Without: e.Value - d.Shift,
		}
		if 1-out[k].Leverage > nothingLeft && !math.IsNaN(d.Shift) {
			continue
		}
		out[k].Without = math.NaN()
		if left, err := f.Without(out[k].Cluster); err == nil { // a column goes with the cluster
			out[k].Without = left.Contrast(c, .95).Value
		}
	}
	return out
}

// id of cluster k.
func (f *AbsorbedFit) id(k int) int {
	return f.model.Cluster[f.fit.Blocks().First(k)]
}
