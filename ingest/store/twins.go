package store

import (
	"maps"
	"slices"

	"shortfall/ingest/casebook"
)

// When two cases are taken for one. Below smallestTwin shared movements equal
// amounts may well be chance, unless something else speaks for it: the same
// pseudonym in the practice without a name, a later version of the file that lacks
// the other case, or so many slight cases alike that chance is no explanation.
// twinShare of the movements of the smaller one must be shared.
const (
	smallestTwin = 4
	twinShare    = 0.9
	slightTwin   = 2   // movements of a slight case, all of which must be shared
	manySlight   = 5   // such cases in one file, and
	mostSlight   = 0.8 // of its new cases of that size
)

// measured is a movement without its case.
type measured struct {
	planned
	achieved casebook.Opt[float64]
}

func measuredOf(m *casebook.Movement) measured { return measured{plannedOf(m), m.Achieved} }

// twins finds new cases with the movements of a case that stands: a sheet and
// its pseudonymised copy, or one patient under two pseudonyms. Where the file is
// a later version and no longer holds the other case, the pseudonym was
// corrected and the old records are retired; else it is asked.
func (d *decider) twins(v version) error {
	if !d.k.moved() {
		return nil
	}
	fresh := d.freshMovements()
	if len(fresh) == 0 {
		return nil
	}
	l, err := d.lookUp(fresh)
	if err != nil {
		return err
	}
	var open, slight []casebook.CaseKey
	slightCases := 0
	for _, k := range slices.SortedFunc(maps.Keys(fresh), casebook.CaseKey.Compare) {
		if slices.Contains(d.c.Distinct, k.ID) {
			continue
		}
		n := len(fresh[k])
		if n >= slightTwin && n < smallestTwin {
			slightCases++
		}
		shared := l.shared(d, fresh[k])
		if from, ok := d.renamed(shared, n, l, v); ok {
			d.plan.Outcome.Renamed = append(d.plan.Outcome.Renamed, Renaming{From: from, To: k})
			continue
		}
		for _, other := range slices.SortedFunc(maps.Keys(shared), casebook.CaseKey.Compare) {
			if d.cases[other] { // both in this file: the rules of ingest speak of it
				continue
			}
			of := min(n, l.sizes[other])
			alike := float64(shared[other]) >= twinShare*float64(of)
			sameName := other.ID == k.ID && (other.Practice == "" || k.Practice == "")
			if alike && (shared[other] >= smallestTwin || sameName) {
				open = append(open, k)
				break
			}
			if n >= slightTwin && n < smallestTwin && shared[other] == n && l.sizes[other] == n {
				slight = append(slight, k)
				break
			}
		}
	}
	if len(slight) >= manySlight && float64(len(slight)) >= mostSlight*float64(slightCases) {
		open = append(open, slight...)
	}
	if len(open) == 0 {
		return nil
	}
	return d.twinError(open, fresh)
}

// lookup finds the cases that hold a movement.
type lookup struct {
	holders map[measured][]casebook.CaseKey
	sizes   map[casebook.CaseKey]int
}

// lookUp finds the holders of the movements of new cases.
func (d *decider) lookUp(fresh map[casebook.CaseKey][]int) (lookup, error) {
	l := lookup{map[measured][]casebook.CaseKey{}, map[casebook.CaseKey]int{}}
	// any order: each by itself
	for k, s := range d.k.Standing {
		if s.Movements > 0 {
			l.sizes[k] = s.Movements
		}
	}
	// any order: as above
	for _, list := range fresh {
		for _, i := range list {
			l.holders[measuredOf(&d.b.Movements[i].Value)] = nil
		}
	}
	err := d.k.EachMovement(func(m *casebook.Movement) {
		of := measuredOf(m)
		if found, asked := l.holders[of]; asked {
			l.holders[of] = append(found, m.Case)
		}
	})
	return l, err
}

// shared counts the movements that each case that stands has in common with
// those of a new one.
func (l lookup) shared(d *decider, list []int) map[casebook.CaseKey]int {
	out := map[casebook.CaseKey]int{}
	for _, i := range list {
		for _, k := range l.holders[measuredOf(&d.b.Movements[i].Value)] {
			out[k]++
		}
	}
	return out
}

// renamed finds the one case of earlier versions, lacking here, that the new case
// with n movements is: most of them the same where there are enough, all of them
// where there are few, and no other case that could be meant.
func (d *decider) renamed(shared map[casebook.CaseKey]int, n int, l lookup, v version) (casebook.CaseKey, bool) {
	var found []casebook.CaseKey
	// any order: more than one is none
	for k, m := range shared {
		of := min(n, l.sizes[k])
		alike := m >= smallestTwin && float64(m) >= twinShare*float64(of) || m == n && m == l.sizes[k]
		if alike && v.absent[k] && d.only(k, v) {
			found = append(found, k)
		}
	}
	if len(found) != 1 {
		return casebook.CaseKey{}, false
	}
	return found[0], true
}

// freshMovements are the movements of cases of which none stands yet.
func (d *decider) freshMovements() map[casebook.CaseKey][]int {
	fresh := map[casebook.CaseKey][]int{}
	for _, i := range d.plan.Movements.Add {
		if k := d.b.Movements[i].Value.Case; d.k.Standing[k].Movements == 0 {
			fresh[k] = append(fresh[k], i)
		}
	}
	return fresh
}

// only reports whether all movements of the case came from earlier versions.
func (d *decider) only(k casebook.CaseKey, v version) bool {
	return !slices.ContainsFunc(d.k.Standing[k].Moved, func(file int64) bool { return !v.parts[file] })
}

func (d *decider) twinError(open []casebook.CaseKey, fresh map[casebook.CaseKey][]int) error {
	at := d.b.Movements[fresh[open[0]][0]].Source
	e := d.refused(Twin, at, "%s the movements of cases that stand here under other pseudonyms or another practice; one patient would count twice",
		are(len(open), "a new case has", "new cases have"))
	e.Cases = open
	e.Remedy = "If this is a copy of what was imported, leave it out, or remove the other file first with \"shortfall remove\"; if a practice was given another name, use \"shortfall practice rename\"; if they are other patients, give --distinct CASE for each; nothing of this file was kept"
	return e
}
