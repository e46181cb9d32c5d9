// Package rules is the catalogue of everything ingest can find wrong or worth
// saying about a file: each rule has a stable id, a severity, a title, an
// explanation and a remedy.
//
// Place in the pipeline: the readers (sheet, values, mapping, ingest) make
// their problems here, so that one id always carries one severity and one
// remedy; the checks that need whole records run from Check after reading. It
// imports only casebook.
package rules

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// ID is the stable name of a rule, as printed with every problem.
type ID string

// Rule documents one thing that can be found.
type Rule struct {
	ID       ID
	Severity casebook.Severity
	Title    string
	// Text explains the rule in a few sentences.
	Text string
	// Remedy is what to do, the default of every problem of the rule.
	Remedy string
	// check looks at the whole batch; nil where the finding is made while reading.
	check func(*view, reporter)
}

// All lists the catalogue in the order of reading a file: file, sheet, layout,
// values, records, waivers.
func All() []Rule {
	return slices.Concat(fileRules, privacyRules, layoutRules, valueRules, recordRules, waiverRules)
}

var byID = index(All())

func index(all []Rule) map[ID]Rule {
	m := make(map[ID]Rule, len(all))
	for _, r := range all {
		m[r.ID] = r
	}
	return m
}

// Find gives the rule with the id.
func Find(id ID) (Rule, bool) {
	r, ok := byID[id]
	return r, ok
}

// New makes a problem of the rule: severity and remedy come from the
// catalogue, the caller adds the place.
func New(id ID, format string, args ...any) casebook.Problem {
	r := byID[id]
	return casebook.Problem{
		Rule: string(id), Severity: r.Severity, Remedy: r.Remedy,
		Message: fmt.Sprintf(format, args...),
	}
}

// Explain prints the rule for a person; an unknown id is an error that names
// the nearest ids.
func Explain(id string) (string, error) {
	r, ok := Find(ID(strings.ToLower(strings.TrimSpace(id))))
	if !ok {
		return "", fmt.Errorf("there is no rule %q; the nearest are %s", id, strings.Join(nearest(id), ", "))
	}
	return fmt.Sprintf("%s (%s)\n%s\n\n%s\n\nWhat to do: %s\n", r.ID, r.Severity, r.Title, r.Text, r.Remedy), nil
}

// nearest lists the rules that share most letter pairs with a mistyped id.
func nearest(id string) []string {
	shared := func(rule string) (n int) {
		for i := range len(id) - 1 {
			if strings.Contains(rule, id[i:i+2]) {
				n++
			}
		}
		return n
	}
	all := make([]string, 0, len(byID))
	for _, r := range All() {
		all = append(all, string(r.ID))
	}
	slices.SortStableFunc(all, func(a, b string) int { return shared(b) - shared(a) })
	return all[:3]
}
