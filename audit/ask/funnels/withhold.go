package funnels

import (
	"fmt"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
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
func thinFunnel(p *rows.Set, rule disclose.Rule, k *results.Criterion, all []series.Part, byCode map[string][]series.Part, points []results.FunnelPoint) bool {
	inPoint := map[int]bool{}
	for _, pt := range points {
		parts := byCode[pt.Code]
		if series.ThinParts(rule, k, parts) {
			return true
		}
		for i := range parts {
			inPoint[parts[i].Cluster] = true
		}
	}
	rest := map[string][]series.Part{}
	for _, x := range all {
		if inPoint[x.Cluster] {
			continue
		}
		rest[""] = append(rest[""], x)
		if c := p.Cases[x.Cluster].Log; c != nil && c.Practice != "" {
			rest[c.Practice] = append(rest[c.Practice], x)
		}
	}
	for _, parts := range rest {
		if series.ThinParts(rule, k, parts) {
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
