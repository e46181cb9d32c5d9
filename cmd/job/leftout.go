package job

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// ManyLeftOut says how many rows and movements of a file are left out, and mostly why, where
// that are more than a tenth: a person is asked before the others are kept, since what is
// left out for one reason may well be of one kind.
func ManyLeftOut(b *casebook.Batch) string {
	var c casebook.Counts
	for _, s := range b.Sheets {
		c.Accepted, c.Rejected = c.Accepted+s.Counts.Accepted, c.Rejected+s.Counts.Rejected
	}
	all := len(b.Movements) + b.RefusedAlone
	rows, movements := 10*c.Rejected > c.Accepted+c.Rejected, 10*b.RefusedAlone > all
	if !rows && !movements {
		return ""
	}
	var parts []string
	if c.Rejected > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s", c.Rejected, Plural(c.Accepted+c.Rejected, "row")))
	}
	if b.RefusedAlone > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s in rows that are kept", b.RefusedAlone, Plural(all, "movement")))
	}
	out := strings.Join(parts, " and ") + " are left out"
	if why := causes(b); why != "" {
		out += "; commonest reasons: " + why
	}
	return out
}

// mostCauses are named.
const mostCauses = 3

// causes names the commonest reasons for which rows are left out, with their numbers.
func causes(b *casebook.Batch) string {
	count := map[string]int{}
	var order []string
	for _, x := range b.Rejected {
		rule, ok := rules.Find(rules.ID(x.Reasons[0].Rule))
		if !ok {
			continue
		}
		if count[rule.Title]++; count[rule.Title] == 1 {
			order = append(order, rule.Title)
		}
	}
	slices.SortStableFunc(order, func(a, b string) int { return count[b] - count[a] })
	var out []string
	for _, title := range order[:min(len(order), mostCauses)] {
		out = append(out, fmt.Sprintf("%s%s (%d)", strings.ToLower(title[:1]), title[1:], count[title]))
	}
	return strings.Join(out, ", ")
}
