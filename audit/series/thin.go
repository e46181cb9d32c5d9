package series

import (
	"shortfall/audit/disclose"
	"shortfall/audit/results"
)

// ThinParts reports few cases, or for a share of cases few with or without it.
func ThinParts(rule disclose.Rule, k *results.Criterion, parts []Part) bool {
	s := SumParts(parts, func(*Part) bool { return true })
	return rule.Small(s.Cases) || k.Measure == results.CasesRefined && rule.ThinShare(int(s.Num), s.Cases)
}

// ThinQuarters reports a quarter whose share of cases, or the cases without a
// quarter, would show few with or without it: the total less the other
// quarters would give a hidden one, so all are withheld.
func ThinQuarters(rule disclose.Rule, k *results.Criterion, parts []Part) bool {
	if k.Measure != results.CasesRefined {
		return false
	}
	quarters := map[int][]Part{}
	for _, x := range parts {
		quarters[x.Quarter] = append(quarters[x.Quarter], x)
	}
	for _, of := range quarters {
		if ThinParts(rule, k, of) {
			return true
		}
	}
	return false
}
