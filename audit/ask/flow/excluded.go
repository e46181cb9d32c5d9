package flow

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Ascertained is the share of logged cases, all of them started, that
// contribute an analysed movement.
func Ascertained(p *rows.Set) results.Share {
	n := 0
	for i := range p.Cases {
		if c := &p.Cases[i]; c.Log != nil && c.To > c.From {
			n++
		}
	}
	return measure.WilsonShare(n, len(p.Dataset.Cases), p.Settings.Level)
}

// exclusions lists everything left out: rejected rows by their rule, logged
// cases without a movement, then the movements in the order of the flow.
func exclusions(p *rows.Set) []results.Exclusion {
	out := []results.Exclusion{}
	for _, r := range sortedRejected(p.Dataset.Rejected) {
		out = append(out, results.Exclusion{
			ID: "rejected-" + r.Rule, Rows: r.Rows, Reason: fmt.Sprintf("%s row rejected on reading: %s", r.Kind, strings.ReplaceAll(r.Rule, "-", " ")),
		})
	}
	if n := withoutMovements(p); n > 0 {
		out = append(out, results.Exclusion{ID: "no-movements", Cases: n, Reason: "Case in the log without a movement on record"})
	}
	return append(out, p.Excluded...)
}

func withoutMovements(p *rows.Set) int {
	has := make([]bool, len(p.Cases))
	for _, c := range p.ClusterOf {
		has[c] = true
	}
	n := 0
	for i, ok := range has {
		if _, gone := p.Gone[p.Cases[i].Key]; !ok && !gone {
			n++
		}
	}
	return n
}

func sortedRejected(r []casebook.RejectedCount) []casebook.RejectedCount {
	return slices.SortedFunc(slices.Values(r), func(a, b casebook.RejectedCount) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Rule, b.Rule))
	})
}
