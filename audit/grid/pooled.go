package grid

import (
	"shortfall/audit/measure"
	"shortfall/audit/results"
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
func poolTeeth(cells []results.Cell, s *slab) {
	list := s.byTooth()
	y, w, x, tooth := make([]float64, len(list)), make([]float64, len(list)), make([]float64, len(list)), make([]int, len(list))
	for k, i := range list {
		m := &s.movements[i]
		y[k], w[k], x[k], tooth[k] = m.achieved/m.planned, m.planned, 1, int(toothPlaces[m.tooth][0])
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

// byTooth lists the movements of a slab tooth by tooth, those of a tooth in their order.
func (s *slab) byTooth() []int32 {
	var from [firstClass + 1]int
	for i := range s.movements {
		from[toothPlaces[s.movements[i].tooth][0]+1]++
	}
	for t := range firstClass {
		from[t+1] += from[t]
	}
	out := make([]int32, len(s.movements))
	for i := range s.movements {
		at := &from[toothPlaces[s.movements[i].tooth][0]]
		out[*at] = int32(i)
		*at++
	}
	return out
}
