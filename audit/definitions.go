package audit

import (
	"fmt"

	"shortfall/audit/ask"
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
	if !s.Shared {
		return fmt.Sprintf("nothing is withheld inside the practice; in results that leave it, cells and counts below %d cases are, with as many more as keep them from being worked out; the cases logged, analysed and completed are always printed", s.MinCellCases)
	}
	return fmt.Sprintf("cells and counts below %d cases are withheld, with as many more as keep them from being worked out; the cases logged, analysed and completed are always printed", s.MinCellCases)
}
