package grid

import (
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/mixed"
)

// poolTeeth fills the partially pooled expression of the teeth of one slab:
// a random intercept for each tooth in achieved/planned with weights planned
// (REML; Laird & Ware 1982, Biometrics 38:963-974, equation 3.2),
//
//	pooled = mean + tau2 / (tau2 + sigma2 / planned total) (ratio of sums - mean)
//
// so that a tooth with few movements is drawn to the average of all teeth. It
// has no interval of its own: it is for the colour of the chart, beside the
// unpooled number. Two teeth and three movements are the least.
func poolTeeth(cells []results.Cell, analysed []rows.Row, s *slab) {
	list := s.byTooth(analysed)
	y, w, x, tooth := make([]float64, len(list)), make([]float64, len(list)), make([]float64, len(list)), make([]int, len(list))
	for k, i := range list {
		r := &analysed[i]
		y[k], w[k], x[k], tooth[k] = r.Expression(), r.Planned, 1, int(toothPlaces[r.Tooth][0])
	}
	if measure.CountRuns(tooth) < 2 || len(y) <= measure.CountRuns(tooth) {
		return
	}
	fit, err := mixed.FitRandomIntercept(stats.LinearModel{Names: []string{"mean"}, X: x, Y: y, Weights: w, Cluster: tooth}, mixed.REML)
	if err != nil || !fit.Status.Usable() {
		return
	}
	for i := range cells {
		if c := &cells[i]; c.By.Tooth != 0 {
			shrink := fit.Random / (fit.Random + fit.Residual/float64(c.PlannedTotal))
			c.Pooled = measure.OrMissing(fit.Coef[0] + shrink*(float64(c.Estimate)-fit.Coef[0]))
		}
	}
}

// byTooth lists the rows of a slab tooth by tooth, those of a tooth in their order.
func (s *slab) byTooth(analysed []rows.Row) []int32 {
	var from [firstClass + 1]int
	for _, i := range s.rows {
		if r := &analysed[i]; s.holds(r) {
			from[toothPlaces[r.Tooth][0]+1]++
		}
	}
	for t := range firstClass {
		from[t+1] += from[t]
	}
	out := make([]int32, from[firstClass])
	for _, i := range s.rows {
		if r := &analysed[i]; s.holds(r) {
			at := &from[toothPlaces[r.Tooth][0]]
			out[*at] = i
			*at++
		}
	}
	return out
}
