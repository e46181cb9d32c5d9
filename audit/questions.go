package audit

import (
	"context"

	"shortfall/audit/results"
)

// questions answers what a clinician asks of the grid. It reads the grid as it
// will be printed, so that nothing withheld there comes back here.
func (p *prepared) questions(ctx context.Context, r *results.Results) (results.Questions, error) {
	var q results.Questions
	tasks := []func(){
		func() { q.Switches = p.switches() },
		func() { q.Staging = p.staging() },
		func() { q.Fit = p.featureFit() },
		func() { q.LossRates = p.lossRates() },
		func() { q.Outlook = p.outlook(r) },
		func() { q.Reaudit = p.reaudit() },
		func() { q.Funnels = p.funnels() },
		func() { q.ByPlan = p.byPlan(r) },
	}
	err := inParallel(ctx, len(tasks), func() func(int) { return func(i int) { tasks[i]() } })
	if err != nil {
		return q, err
	}
	if q.CaseMix.Matched, err = p.matchedAll(ctx, r.Comparisons); err != nil {
		return q, err
	}
	q.CaseMix.Sensitivity, err = p.sensitivity(ctx, r.Comparisons)
	return q, err
}
