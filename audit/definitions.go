package audit

import (
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
)

// definitions of every question, in their order, and of what is kept back.
func definitions(s *results.Settings, qs []ask.Question) []results.Definition {
	var out []results.Definition
	for i := range qs {
		out = append(out, qs[i].Definitions(s)...)
	}
	return append(out, results.Definition{ID: "withheld-cells", Term: "withheld cells", Formula: withholdText(s), Source: "common practice of small-number rules"})
}

func withholdText(s *results.Settings) string {
	verb, where := "are withheld", ""
	if !s.Shared {
		verb, where = "are", "nothing is withheld inside the practice; in results that leave it, "
	}
	return where + fmt.Sprintf("cells, counts and shares of fewer than %d cases %s, with as many more as keep them from being worked out; so is a share of cases with one movement each where it counts fewer than %d of them, and what became of plans no larger than the tolerance; how many of several movements or attachments a case ended so is printed, since it says of no patient that it is theirs; the cases logged, analysed and completed are always printed; numbers are rounded to two significant digits, and medians, quartiles, totals and slopes of fewer than %d cases are left out, since they tell single movements. What differs between two such reports, by a few cases or by a month, tells of those cases all the same: one period is shared once", s.MinCellCases, verb, s.MinCellCases, disclose.FewestForOrder)
}
