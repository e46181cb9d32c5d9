package series

import (
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// ThinParts reports few cases, or for a share of cases few with or without it.
func ThinParts(p *rows.Set, k *results.Criterion, parts []Part) bool {
	s := SumParts(parts, func(*Part) bool { return true })
	return disclose.Small(&p.Settings, s.Cases) || k.Measure == results.CasesRefined && disclose.ThinShare(&p.Settings, int(s.Num), s.Cases)
}

// ThinQuarters reports a quarter whose share of cases, or the cases without a
// quarter, would show few with or without it: the total less the other
// quarters would give a hidden one, so all are withheld.
func ThinQuarters(p *rows.Set, k *results.Criterion, parts []Part) bool {
	if !p.Settings.Shared || k.Measure != results.CasesRefined {
		return false
	}
	quarters := map[int][]Part{}
	for _, x := range parts {
		quarters[x.Quarter] = append(quarters[x.Quarter], x)
	}
	for _, of := range quarters {
		if ThinParts(p, k, of) {
			return true
		}
	}
	return false
}
