package store

import (
	"maps"
	"slices"

	"shortfall/ingest/casebook"
)

// smallestTwin is the fewest movements two cases must share before they are
// taken for one: below it, equal amounts may well be chance. twinShare of the
// movements of the smaller one must be shared.
const (
	smallestTwin = 4
	twinShare    = 0.9
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
	fresh := d.freshMovements()
	if len(fresh) == 0 {
		return nil
	}
	holders, sizes := map[measured][]casebook.CaseKey{}, map[casebook.CaseKey]int{}
	for k, h := range d.k.Movements {
		m := measuredOf(&h.Value)
		holders[m] = append(holders[m], k.Case)
		sizes[k.Case]++
	}
	var open []casebook.CaseKey
	for _, k := range slices.SortedFunc(maps.Keys(fresh), casebook.CaseKey.Compare) {
		twin, ok := d.twinOf(fresh[k], holders, sizes)
		switch {
		case !ok || d.cases[twin] || slices.Contains(d.c.Distinct, k.ID):
		case v.absent[twin] && d.only(twin, v):
			d.plan.Outcome.Renamed = append(d.plan.Outcome.Renamed, Renaming{From: twin, To: k})
		default:
			open = append(open, k)
		}
	}
	if len(open) == 0 {
		return nil
	}
	return d.twinError(open, fresh)
}

// freshMovements are the movements of cases of which none stands yet.
func (d *decider) freshMovements() map[casebook.CaseKey][]int {
	known := map[casebook.CaseKey]bool{}
	for k := range d.k.Movements {
		known[k.Case] = true
	}
	fresh := map[casebook.CaseKey][]int{}
	for _, i := range d.plan.Movements.Add {
		if k := d.b.Movements[i].Value.Case; !known[k] {
			fresh[k] = append(fresh[k], i)
		}
	}
	out := map[casebook.CaseKey][]int{}
	for k, list := range fresh {
		if len(list) >= smallestTwin {
			out[k] = list
		}
	}
	return out
}

func (d *decider) twinOf(list []int, holders map[measured][]casebook.CaseKey, sizes map[casebook.CaseKey]int) (casebook.CaseKey, bool) {
	shared := map[casebook.CaseKey]int{}
	for _, i := range list {
		for _, k := range holders[measuredOf(&d.b.Movements[i].Value)] {
			shared[k]++
		}
	}
	for _, k := range slices.SortedFunc(maps.Keys(shared), casebook.CaseKey.Compare) {
		n := min(len(list), sizes[k])
		if shared[k] >= smallestTwin && float64(shared[k]) >= twinShare*float64(n) {
			return k, true
		}
	}
	return casebook.CaseKey{}, false
}

// only reports whether all movements of the case came from earlier versions.
func (d *decider) only(k casebook.CaseKey, v version) bool {
	for key, h := range d.k.Movements {
		if key.Case == k && !v.parts[h.File] {
			return false
		}
	}
	return true
}

func (d *decider) twinError(open []casebook.CaseKey, fresh map[casebook.CaseKey][]int) error {
	at := d.b.Movements[fresh[open[0]][0]].Source
	e := d.refused(Twin, at, "%s the movements of cases that stand here under other pseudonyms or another practice; one patient would count twice",
		are(len(open), "a new case has", "new cases have"))
	e.Remedy = "If this is a copy of what was imported, leave it out, or remove the other file first with \"shortfall remove\"; if a practice was given another name, use \"shortfall practice rename\"; if they are other patients, give --distinct CASE for each; nothing of this file was kept"
	return e
}
