package audit

import (
	"fmt"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// thinFunnel reports a funnel with a count of cases below the minimum shown: a
// unit with few cases refined, or few not, or few cases outside the units
// shown (too few for a point, or without a code), which the totals less the
// points would give. Practices are made of clinicians, so the clinicians of a
// practice that have no point are such a rest as well.
//
// The target, the overdispersion and the limits rest on every point, and the
// spread of two hidden points could be solved for, so such a funnel is withheld
// whole.
func thinFunnel(p *rows.Set, k *results.Criterion, all []part, byCode map[string][]part, points []results.FunnelPoint) bool {
	inPoint := map[int]bool{}
	for _, pt := range points {
		parts := byCode[pt.Code]
		if thinParts(p, k, parts) {
			return true
		}
		for i := range parts {
			inPoint[parts[i].cluster] = true
		}
	}
	rest := map[string][]part{}
	for _, x := range all {
		if inPoint[x.cluster] {
			continue
		}
		rest[""] = append(rest[""], x)
		if c := p.Cases[x.cluster].Log; c != nil && c.Practice != "" {
			rest[c.Practice] = append(rest[c.Practice], x)
		}
	}
	for _, parts := range rest {
		if thinParts(p, k, parts) {
			return true
		}
	}
	return false
}

// thinParts reports few cases, or for a share of cases few with or without it.
func thinParts(p *rows.Set, k *results.Criterion, parts []part) bool {
	s := sumParts(parts, func(*part) bool { return true })
	return disclose.Small(&p.Settings, s.cases) || k.Measure == results.CasesRefined && disclose.ThinShare(&p.Settings, int(s.num), s.cases)
}

// thinQuarters reports a quarter whose share of cases, or the cases without a
// quarter, would show few with or without it: the total less the other
// quarters would give a hidden one, so all are withheld.
func thinQuarters(p *rows.Set, k *results.Criterion, parts []part) bool {
	if !p.Settings.Shared || k.Measure != results.CasesRefined {
		return false
	}
	quarters := map[int][]part{}
	for _, x := range parts {
		quarters[x.quarter] = append(quarters[x.quarter], x)
	}
	for _, of := range quarters {
		if thinParts(p, k, of) {
			return true
		}
	}
	return false
}

func withholdFunnel(f *results.Funnel, least int) {
	*f = results.Funnel{
		Units: f.Units, Measure: f.Measure, Target: results.NotEstimable, Phi: results.NotEstimable, Effect: results.NotEstimable,
		LeftOut: f.LeftOut, Unknown: f.Unknown, UnknownSuppressed: f.UnknownSuppressed, Suppressed: true,
		Reason: fmt.Sprintf("withheld: a count below %d cases is in it, or could be worked out from it", least),
	}
}
