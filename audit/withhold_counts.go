package audit

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// caseClass is what the tables of counts say about one case: cases of one class
// are counted together everywhere.
type caseClass struct {
	logged, counted bool // counted: among the completed cases of the refinements
	status          casebook.Status
	stage           int // the flow step before which it leaves; noStage without a movement
}

const (
	noStage      = -1
	styledStage  = int(analysedFate) + 1 // leaves as it has no feature
	featureStage = int(analysedFate) + 2 // stays to the end
)

// caseStages is the last flow step each case is in.
func (p *prepared) caseStages() []int {
	stage := make([]int, len(p.cases))
	for i := range stage {
		stage[i] = noStage
	}
	for i, m := range p.order {
		c := p.clusterOf[i]
		stage[c] = max(stage[c], int(fateOf(m, &p.settings)))
	}
	for i := range p.analysed {
		r := &p.analysed[i]
		switch r.style {
		case casebook.NoStyle:
		case casebook.StyleNone:
			stage[r.cluster] = max(stage[r.cluster], styledStage)
		default:
			stage[r.cluster] = featureStage
		}
	}
	return stage
}

// countTables are counts of cases as sets of classes.
type countTables struct {
	tables
	size map[caseClass]int
	id   map[caseClass]int32
}

func (p *prepared) countTables() *countTables {
	t := &countTables{size: map[caseClass]int{}, id: map[caseClass]int32{}}
	counted := make([]bool, len(p.cases))
	for _, f := range p.finishedCases() {
		counted[f.patient] = true
	}
	for i, stage := range p.caseStages() {
		c := caseClass{logged: p.cases[i].log != nil, counted: counted[i], stage: stage}
		if c.logged {
			c.status = p.cases[i].log.Status
		}
		if _, ok := t.id[c]; !ok {
			t.id[c] = int32(len(t.id))
		}
		t.size[c]++
	}
	return t
}

// count adds the count of the classes that holds admits, and gives its number;
// none where there is no such case, which hides nothing.
func (t *countTables) count(holds func(caseClass) bool) int {
	n := 0
	var parts []int32
	for c, id := range t.id {
		if holds(c) {
			n, parts = n+t.size[c], append(parts, id)
		}
	}
	if n == 0 {
		return noCell
	}
	return t.add(n, parts...)
}

const noCell = -1

// line says that a printed sum is made of the others.
func (t *countTables) line(sum int, parts ...int) {
	l := []int{sum}
	for _, i := range parts {
		if i != noCell {
			l = append(l, i)
		}
	}
	if sum != noCell && len(l) > 1 {
		t.lines = append(t.lines, l)
	}
}

// countCells are the numbers of the cells of every printed count of cases.
type countCells struct {
	statuses                       []int
	leaving, steps                 [featureStage + 1]int
	none, ascertained              int
	unlogged, atEnd, statusIsThere int
}

func (t *countTables) cells(statuses []results.StatusCount) (c countCells) {
	logged := t.count(func(x caseClass) bool { return x.logged })
	analysed := t.count(func(x caseClass) bool { return x.stage >= int(analysedFate) })
	counted := t.count(func(x caseClass) bool { return x.counted })
	for _, at := range [3]int{logged, analysed, counted} {
		if at != noCell {
			t.open = append(t.open, at)
		}
	}
	for _, s := range statuses {
		c.statuses = append(c.statuses, t.count(func(x caseClass) bool { return x.logged && x.status == s.Status }))
	}
	t.line(logged, c.statuses...)
	for i := range c.steps {
		c.steps[i] = t.count(func(x caseClass) bool { return x.stage >= i })
		c.leaving[i] = t.count(func(x caseClass) bool { return x.stage == i })
	}
	for i := range featureStage {
		t.line(c.steps[i], c.leaving[i], c.steps[i+1])
	}
	c.none = t.count(func(x caseClass) bool { return x.stage == noStage })
	c.ascertained = t.count(func(x caseClass) bool { return x.logged && x.stage >= int(analysedFate) })
	c.unlogged = t.count(func(x caseClass) bool { return !x.logged })
	c.atEnd = t.count(func(x caseClass) bool { return x.logged && x.status != casebook.UnderTreatment })
	c.statusIsThere = t.count(func(x caseClass) bool { return x.logged && x.status != casebook.NoStatus })
	return c
}

// withholdCounts applies the small-number rule to counts of cases: by status,
// by step and reason of the flow, of the log. Three totals are always printed:
// the cases logged, those analysed and the completed ones whose refinements are
// counted; what follows from these alone cannot be kept back.
func (p *prepared) withholdCounts(r *results.Results) {
	t := p.countTables()
	c := t.cells(r.Flow.CasesByStatus)
	hide := t.hidden(p.settings.MinCellCases)
	hidden := func(at int) bool { return at != noCell && hide[at] }
	for i := range r.Flow.CasesByStatus {
		if s := &r.Flow.CasesByStatus[i]; hidden(c.statuses[i]) {
			s.Cases, s.Suppressed = 0, true
		}
	}
	withheld := map[string]bool{"no-movements": hidden(c.none)}
	for i := range r.Flow.Steps {
		s := &r.Flow.Steps[i]
		if hidden(c.steps[i]) {
			s.Cases, s.Suppressed = 0, true
		}
		for _, e := range s.Excluded {
			withheld[e.ID] = hidden(c.leaving[i])
		}
		withholdExclusions(s.Excluded, withheld)
	}
	withholdExclusions(r.Excluded, withheld)
	if hidden(c.ascertained) {
		r.Flow.Ascertained = noShare()
		r.Flow.Ascertained.Warnings = []results.Warning{tooFewShown(&p.settings)}
	}
	p.withholdCompleteness(r.Completeness, hidden(c.atEnd), hidden(c.statusIsThere))
	for i := range r.Repeats {
		if m := &r.Repeats[i]; m.Cases < p.settings.MinCellCases {
			m.Pairs, m.Cases, m.Suppressed = 0, 0, true
		}
	}
}

func withholdExclusions(list []results.Exclusion, withheld map[string]bool) {
	for i := range list {
		if e := &list[i]; withheld[e.ID] {
			e.Cases, e.Suppressed = 0, true
		}
	}
}

// withholdCompleteness keeps back a field that is filled, or empty, in the
// records of few cases only.
func (p *prepared) withholdCompleteness(fields []results.FieldCount, atEnd, status bool) {
	for i := range fields {
		f := &fields[i]
		hide := p.small(p.fieldCases[i][0]) || p.small(p.fieldCases[i][1])
		if f.Record == "case" {
			hide = hide || f.Field == "end month" && atEnd || f.Field == "status" && status
		}
		if hide {
			f.Recorded, f.Total, f.Suppressed = 0, 0, true
		}
	}
}

// small reports a number of cases below the minimum shown; none is not small.
func (p *prepared) small(n int) bool { return n > 0 && n < p.settings.MinCellCases }

// sharedCount puts a number of cases in words, a small one in shared results
// without the number.
func (p *prepared) sharedCount(n int, noun string) string {
	if p.settings.Shared && p.small(n) {
		return fmt.Sprintf("fewer than %d %ss", p.settings.MinCellCases, noun)
	}
	return count(n, noun)
}

// thinShare reports a share of cases that may not leave the practice: with few
// of them, or all but few, in it.
func (p *prepared) thinShare(with, all int) bool {
	return p.settings.Shared && (p.small(with) || p.small(all-with))
}

// few distinct texts, no more than limit of them: how many cases a count rests
// on, as far as it matters.
type fewDistinct struct {
	seen  []casebook.CaseKey
	limit int
}

func (f *fewDistinct) add(id casebook.CaseKey) {
	if len(f.seen) >= f.limit {
		return
	}
	for _, s := range f.seen {
		if s == id {
			return
		}
	}
	f.seen = append(f.seen, id)
}
