package audit

import (
	"context"

	"shortfall/audit/ask/byplan"
	"shortfall/audit/ask/cycle"
	"shortfall/audit/ask/funnels"
	"shortfall/audit/ask/losses"
	"shortfall/audit/ask/orientation"
	"shortfall/audit/ask/outlook"
	"shortfall/audit/ask/staging"
	"shortfall/audit/ask/switches"
	"shortfall/audit/between"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// questions answers what a clinician asks of the grid. It reads the grid as it
// will be printed, so that nothing withheld there comes back here.
func questions(ctx context.Context, p *rows.Set, r *results.Results) (results.Questions, error) {
	var q results.Questions
	tasks := []func(){
		func() { q.Switches = switches.Answer(p) },
		func() { q.Staging = staging.Answer(p) },
		func() { q.Fit = orientation.Answer(p) },
		func() { q.LossRates = losses.Rates(p) },
		func() { q.Outlook = outlook.Answer(p, r) },
		func() { q.Reaudit = cycle.Answer(p) },
		func() { q.Funnels = funnels.Answer(p) },
		func() { q.ByPlan = byplan.Answer(p, r) },
	}
	err := parallel.Do(ctx, len(tasks), func() func(int) { return func(i int) { tasks[i]() } })
	if err != nil {
		return q, err
	}
	if q.CaseMix.Matched, err = between.MatchedAll(ctx, p, r.Comparisons); err != nil {
		return q, err
	}
	q.CaseMix.Sensitivity, err = between.Sensitivity(ctx, p, r.Comparisons)
	return q, err
}
