package audit

import (
	"context"

	"shortfall/audit/between"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// questions answers what a clinician asks of the grid. It reads the grid as it
// will be printed, so that nothing withheld there comes back here.
func questions(p *rows.Set, ctx context.Context, r *results.Results) (results.Questions, error) {
	var q results.Questions
	tasks := []func(){
		func() { q.Switches = switches(p) },
		func() { q.Staging = staging(p) },
		func() { q.Fit = featureFit(p) },
		func() { q.LossRates = lossRates(p) },
		func() { q.Outlook = outlook(p, r) },
		func() { q.Reaudit = reaudit(p) },
		func() { q.Funnels = allFunnels(p) },
		func() { q.ByPlan = byPlan(p, r) },
	}
	err := parallel.Do(ctx, len(tasks), func() func(int) { return func(i int) { tasks[i]() } })
	if err != nil {
		return q, err
	}
	if q.CaseMix.Matched, err = between.MatchedAll(p, ctx, r.Comparisons); err != nil {
		return q, err
	}
	q.CaseMix.Sensitivity, err = between.Sensitivity(p, ctx, r.Comparisons)
	return q, err
}
