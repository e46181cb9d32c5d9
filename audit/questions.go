package audit

import "context"

// questions answers what a clinician asks of the grid. It reads the grid as it
// will be printed, so that nothing withheld there comes back here.
func (p *prepared) questions(ctx context.Context, r *Results) (Questions, error) {
	q := Questions{
		Switches: p.switches(), Staging: p.staging(), Fit: p.featureFit(), Reaudit: p.reaudit(),
		Funnels: p.funnels(), Outlook: p.outlook(r), LossRates: p.lossRates(),
	}
	var err error
	if q.CaseMix.Matched, err = p.matchedAll(ctx, r.Comparisons); err != nil {
		return q, err
	}
	q.CaseMix.Sensitivity, err = p.sensitivity(r.Comparisons)
	return q, err
}
