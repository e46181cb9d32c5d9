package cycle

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
)

// findings sum up the declared criteria.
func findings(all *results.Results) []results.Finding {
	r := &all.Questions.Reaudit
	if len(r.Criteria) == 0 {
		return nil
	}
	by := map[results.Answer][]string{}
	for i := range r.Criteria {
		c := &r.Criteria[i]
		by[c.Answer] = append(by[c.Answer], c.Criterion.Name)
	}
	var parts []string
	for _, a := range []results.Answer{results.Met, results.NotMet, results.NotEnoughData} {
		if n := by[a]; len(n) > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s", a, strings.Join(n, ", ")))
		}
	}
	return []results.Finding{{
		Kind: results.ChangedInTime, Text: fmt.Sprintf("Of %s of the practice's own, %s.", criteriaCount(len(r.Criteria)), strings.Join(parts, "; ")),
		Limits: "A criterion counts as met, or not met, only where its whole interval lies on one side of the target.",
		Action: "Which criterion needs an action, who owns it, and when is it audited again?",
		Rests:  []results.Basis{{Table: "cycle.criteria"}},
	}}
}

func criteriaCount(n int) string {
	if n == 1 {
		return "1 criterion"
	}
	return fmt.Sprintf("%d criteria", n)
}
