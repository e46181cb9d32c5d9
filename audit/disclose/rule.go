package disclose

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// TooFewShown is the warning of a cell withheld from results that leave the practice.
func TooFewShown(s *results.Settings) results.Warning {
	return results.Warning{
		ID: "withheld", Text: fmt.Sprintf("withheld: fewer than %d cases here, or a smaller cell could be worked out from it", s.MinCellCases),
		Remedy: "read the wider cell",
	}
}

// FewestForOrder is how many cases a median, a quartile, a total or a slope is of in
// results that leave the practice: a quartile of five, nine or thirteen movements is one of
// them, and totals and slope beside it give the others. The number is ours: no rule of
// small numbers names one for order statistics.
const FewestForOrder = 20

// TooFewForOrder is the warning of medians and quartiles kept back, which are amounts of
// single movements.
func TooFewForOrder() results.Warning {
	return results.Warning{
		ID: "withheld", Text: fmt.Sprintf("withheld: medians of fewer than %d cases tell single movements, or these could be worked out", FewestForOrder),
		Remedy: "read the wider cell",
	}
}

// NoShare is a share that is withheld, and says so.
func NoShare(s *results.Settings) results.Share {
	n := results.NotEstimable
	return results.Share{Value: n, Low: n, High: n, Warnings: []results.Warning{TooFewShown(s)}}
}

// Add appends a cell to a set of tables and gives its number.
func (t *Tables) Add(cases int, parts ...int32) int {
	t.Cases, t.Mute, t.Parts = append(t.Cases, cases), append(t.Mute, false), append(t.Parts, parts)
	return len(t.Cases) - 1
}

// HiddenWithMargin is for tables of groups, each with a margin (part 0) over
// its parts.
func HiddenWithMargin(n, least int, cell func(i int) (group, part, cases int)) []bool {
	stride := 1 // more than any part
	for i := range n {
		_, part, _ := cell(i)
		stride = max(stride, part+1)
	}
	t := &Tables{}
	parts, line := map[int][]int32{}, map[int][]int{}
	for i := range n {
		if group, part, _ := cell(i); part > 0 {
			parts[group] = append(parts[group], int32(stride*group+part))
			line[group] = append(line[group], i)
		}
	}
	for i := range n {
		group, part, cases := cell(i)
		if part > 0 {
			t.Add(cases, int32(stride*group+part))
			continue
		}
		t.Add(cases, parts[group]...)
		t.Lines = append(t.Lines, append([]int{i}, line[group]...))
	}
	return t.Hidden(least)
}

func Pick[T any](list []T, keep func(*T) bool) []*T {
	var out []*T
	for i := range list {
		if keep(&list[i]) {
			out = append(out, &list[i])
		}
	}
	return out
}

// WithheldOf chooses what to keep back of parts that add up to a printed
// total: those below the minimum, and where that is one alone the smallest of
// the others with it.
func WithheldOf[T any](parts []*T, minimum int, cases func(*T) int) []*T {
	var small []*T
	var next *T
	for _, x := range parts {
		switch {
		case cases(x) < minimum:
			small = append(small, x)
		case next == nil || cases(x) < cases(next):
			next = x
		}
	}
	if len(small) == 1 && next != nil {
		small = append(small, next)
	}
	return small
}

// Small reports a number of cases below the minimum shown; none is not small.
func Small(s *results.Settings, n int) bool { return n > 0 && n < s.MinCellCases }

// CasesTold is how many cases a share tells of, as far as the rule is concerned: those that
// it is of; where each of them has one movement, its counts are of cases, and the smaller of
// those that ended one way and the other is told too, unless all ended alike. How many
// movements of several to a case ended so is a result of teeth, and tells no such count.
func CasesTold(cases, numerator, denominator int) int {
	if cases == denominator && numerator > 0 && numerator < denominator {
		return min(numerator, denominator-numerator)
	}
	return cases
}

// SharedCount puts a number of cases in words, a small one in shared results
// without the number.
func SharedCount(s *results.Settings, n int, noun string) string {
	if s.Shared && Small(s, n) {
		return fmt.Sprintf("fewer than %d %ss", s.MinCellCases, noun)
	}
	return wording.Of(n, noun)
}

// Rule says from how many cases on a number may be shown. The zero value shows all, as
// inside the practice.
type Rule struct{ least int }

// SmallNumbers is the rule for what leaves the practice.
func SmallNumbers(s *results.Settings) Rule { return Rule{s.MinCellCases} }

// Applies is false of the rule that shows all.
func (r Rule) Applies() bool { return r.least > 0 }

// Small reports a number of cases below the rule; none is not small.
func (r Rule) Small(n int) bool { return n > 0 && n < r.least }

// Hides reports a number of cases below the rule, none too: none is not told from few.
func (r Rule) Hides(n int) bool { return n < r.least }

// ThinShare reports a share of cases with few of them, or all but few, in it.
func (r Rule) ThinShare(with, all int) bool { return r.Small(with) || r.Small(all-with) }

// few distinct texts, no more than limit of them: how many cases a count rests
// on, as far as it matters.
type FewDistinct struct {
	Seen  []casebook.CaseKey
	Limit int
}

func (f *FewDistinct) Add(id casebook.CaseKey) {
	if len(f.Seen) >= f.Limit {
		return
	}
	for _, s := range f.Seen {
		if s == id {
			return
		}
	}
	f.Seen = append(f.Seen, id)
}
