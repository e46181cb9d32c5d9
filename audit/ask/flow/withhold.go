package flow

import (
	"maps"
	"slices"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// caseClass is what the tables of counts say about one case: cases of one class
// are counted together everywhere.
type caseClass struct {
	logged, counted bool // counted: among the completed cases of the refinements
	gone            bool // a period leaves nothing of it but the step at which it went
	status          casebook.Status
	stage           int // the flow step before which it leaves; noStage without a movement
}

const (
	noStage      = -1
	styledStage  = int(rows.Analysed) + 1 // leaves as it has no feature
	featureStage = int(rows.Analysed) + 2 // stays to the end
)

// caseStages is the last flow step each case is in.
func caseStages(p *rows.Set) []int {
	stage := make([]int, len(p.Cases))
	for i := range stage {
		stage[i] = noStage
		if f, gone := p.Gone[p.Cases[i].Key]; gone {
			stage[i] = int(f)
		}
	}
	for i, m := range p.Order {
		c := p.ClusterOf[i]
		stage[c] = max(stage[c], int(p.Fate(m, c)))
	}
	for i := range p.Analysed {
		r := &p.Analysed[i]
		switch r.Style {
		case casebook.NoStyle:
		case casebook.StyleNone:
			stage[r.Cluster] = max(stage[r.Cluster], styledStage)
		default:
			stage[r.Cluster] = featureStage
		}
	}
	return stage
}

// countTables are counts of cases as sets of classes.
type countTables struct {
	disclose.Tables
	size map[caseClass]int
	ID   map[caseClass]int32
}

func newCountTables(p *rows.Set) *countTables {
	t := &countTables{size: map[caseClass]int{}, ID: map[caseClass]int32{}}
	counted := make([]bool, len(p.Cases))
	for _, f := range p.FinishedCases() {
		counted[f.Patient] = true
	}
	for i, stage := range caseStages(p) {
		c := caseClass{logged: p.Cases[i].Log != nil, counted: counted[i], stage: stage}
		if c.logged {
			c.status = p.Cases[i].Log.Status
		}
		t.add(c)
	}
	known := map[casebook.CaseKey]bool{}
	for i := range p.Cases {
		known[p.Cases[i].Key] = true
	}
	for _, key := range slices.SortedFunc(maps.Keys(p.Gone), casebook.CaseKey.Compare) {
		if !known[key] {
			t.add(caseClass{gone: true, stage: int(p.Gone[key])})
		}
	}
	return t
}

// add counts one case of a class.
func (t *countTables) add(c caseClass) {
	if _, ok := t.ID[c]; !ok {
		t.ID[c] = int32(len(t.ID))
	}
	t.size[c]++
}

// count adds the count of the classes that holds admits, and gives its number;
// none where there is no such case, which hides nothing.
func (t *countTables) count(holds func(caseClass) bool) int {
	n := 0
	var parts []int32
	for c, id := range t.ID {
		if holds(c) {
			n += t.size[c]
			parts = append(parts, id)
		}
	}
	if n == 0 {
		return noCell
	}
	slices.Sort(parts)
	return t.Add(n, parts...)
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
		t.Lines = append(t.Lines, l)
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
	analysed := t.count(func(x caseClass) bool { return x.stage >= int(rows.Analysed) })
	counted := t.count(func(x caseClass) bool { return x.counted })
	for _, at := range [3]int{logged, analysed, counted} {
		if at != noCell {
			t.Open = append(t.Open, at)
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
	c.ascertained = t.count(func(x caseClass) bool { return x.logged && x.stage >= int(rows.Analysed) })
	c.unlogged = t.count(func(x caseClass) bool { return !x.logged && !x.gone })
	c.atEnd = t.count(func(x caseClass) bool { return x.logged && x.status != casebook.UnderTreatment })
	c.statusIsThere = t.count(func(x caseClass) bool { return x.logged && x.status != casebook.NoStatus })
	return c
}

// withhold applies the small-number rule to counts of cases: by status,
// by step and reason of the flow, of the log. Three totals are always printed:
// the cases logged, those analysed and the completed ones whose refinements are
// counted; what follows from these alone cannot be kept back.
func withhold(p *rows.Set, r *results.Results) {
	t := newCountTables(p)
	c := t.cells(r.Flow.CasesByStatus)
	hide := t.Hidden(p.Settings.MinCellCases)
	hidden := func(at int) bool { return at != noCell && hide[at] }
	for i := range r.Flow.CasesByStatus {
		if s := &r.Flow.CasesByStatus[i]; hidden(c.statuses[i]) {
			s.Cases, s.Suppressed = 0, true
		}
	}
	withheld := map[string]bool{"no-movements": hidden(c.none)}
	for i := range r.Flow.Steps {
		s, stage := &r.Flow.Steps[i], p.Stages[i]
		if hidden(c.steps[stage]) {
			s.Cases, s.Suppressed = 0, true
		}
		for _, e := range s.Excluded {
			withheld[e.ID] = hidden(c.leaving[stage])
		}
		withholdExclusions(p, s.Excluded, withheld)
	}
	withholdExclusions(p, r.Excluded, withheld)
	if hidden(c.ascertained) {
		r.Flow.Ascertained = disclose.NoShare(&p.Settings)
	}
	withholdCompleteness(p, r.Completeness, hidden(c.atEnd), hidden(c.statusIsThere))
}

func withholdExclusions(p *rows.Set, list []results.Exclusion, withheld map[string]bool) {
	for i := range list {
		e := &list[i]
		if withheld[e.ID] {
			e.Cases, e.Suppressed = 0, true
		}
		if e.ID == rows.CutShort.ID() {
			e.Reason = p.CutShortReason()
		}
	}
}

// withholdCompleteness keeps back a field that is filled, or empty, in the
// records of few cases only.
func withholdCompleteness(p *rows.Set, fields []results.FieldCount, atEnd, status bool) {
	_, on := countAll(p)
	for i := range fields {
		f := &fields[i]
		hide := disclose.Small(&p.Settings, on[i][0]) || disclose.Small(&p.Settings, on[i][1])
		if f.Record == "case" {
			hide = hide || f.Field == "end month" && atEnd || f.Field == "status" && status
		}
		if hide {
			f.Recorded, f.Total, f.Suppressed = 0, 0, true
		}
	}
}
