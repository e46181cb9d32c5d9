package store

import (
	"math"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/firsts"
)

// Changes is what becomes of the records of one kind. Indices are into the
// records of the batch.
type Changes[K comparable] struct {
	Add     []int // no record of the key stands
	Replace []int // another record of the key stands and goes to the history
	Retire  []K   // stands, is not in this later version of its file, goes to the history
	Tally   Tally
}

// Plan is what an implementation carries out, in one transaction.
type Plan struct {
	Already   bool
	Cases     Changes[casebook.CaseKey]
	Courses   Changes[casebook.CourseKey]
	Movements Changes[casebook.MovementKey]
	Repeats   Changes[casebook.MovementKey]
	// Again counts the records that stood here already by the file they came from.
	Again   map[int64]int
	Outcome Outcome
	// Undo puts the batch back as it was given, for an import that fails after all.
	Undo func()
}

// Decide settles the practices of the batch, in the batch itself, and decides
// what becomes of each record.
//
// A record whose key is new is added. One that equals the current record is
// unchanged and keeps its first origin. One that differs replaces it: the file
// imported last is right in what it says, and what it is silent about stays. A record
// that a later file no longer has stays, unless that file is a later version of the one
// it came from and still holds its case.
// Within one file the same record may be given several times (a flat sheet
// repeats its cases); two different records of one key are a Conflict, which the
// rules of ingest report row by row before it comes to this. A known case that
// shares no movement with the file, or of which it says quite other things, is a Clash, a
// new case with the movements of a known one a Twin, one whose code is known in another
// spelling a Spelling: all are asked.
func Decide(b *casebook.Batch, k *Known, c Choices) (*Plan, error) {
	p := &Plan{Again: map[int64]int{}, Outcome: Outcome{Tallies: map[casebook.Kind]Tally{}}, Undo: func() {}}
	for i := len(k.Editions) - 1; i >= 0; i-- {
		if e := &k.Editions[i]; e.SHA256 == b.File.SHA256 && !e.Removed {
			if e.Reading == b.File.Reading {
				p.Already, p.Outcome = true, Outcome{Already: true}
				return p, nil
			}
			break
		}
	}
	whole := k.Whole()
	d, h := &decider{b: b, k: whole, c: c, plan: p}, whole.holdings()
	spelt, err := d.respell(h)
	if err != nil {
		return nil, err
	}
	opened, err := settlePractices(b, c, h, k.Path)
	given := *b // without what is left out of erased cases
	p.Undo = func() {
		b.Cases, b.Courses, b.Movements, b.Repeats = given.Cases, given.Courses, given.Movements, given.Repeats
		opened()
		spelt()
	}
	if err == nil {
		err = d.all()
	}
	if err != nil {
		p.Undo()
		return nil, err
	}
	return p, nil
}

// decider is the state of one decision.
type decider struct {
	b     *casebook.Batch
	k     *Known
	c     Choices
	plan  *Plan
	cases map[casebook.CaseKey]bool // of the file
}

func (d *decider) all() error {
	d.leaveOutErased()
	d.cases = casesOf(d.b)
	p, b, k := d.plan, d.b, d.k
	if err := k.fetch(d.cases); err != nil {
		return err
	}
	if err := sortOut(d, &p.Cases, b.Cases, k.Cases, casebook.Case.Key, nil, casebook.CaseKind); err != nil {
		return err
	}
	if err := sortOut(d, &p.Courses, b.Courses, k.Courses, casebook.Course.Key, nil, casebook.CourseKind); err != nil {
		return err
	}
	if err := sortOut(d, &p.Movements, b.Movements, k.Movements, casebook.Movement.Key, finiteMovement, casebook.MovementKind); err != nil {
		return err
	}
	if err := sortOut(d, &p.Repeats, b.Repeats, k.Repeats, casebook.Repeat.Key, finiteRepeat, casebook.RepeatKind); err != nil {
		return err
	}
	for file, n := range p.Again { // each by itself
		p.Again[file] = max(n, 1)
	}
	v := d.version()
	if !v.sameAs { // another reading of the same bytes may change every amount
		if err := d.clashes(); err != nil {
			return err
		}
		if err := d.strangers(); err != nil {
			return err
		}
	}
	if err := d.twins(v); err != nil {
		return err
	}
	done, emptied := d.keepSilent(v)
	if err := d.retire(v); err != nil {
		return err
	}
	for key := range d.cases {
		if k.Removed[key] {
			p.Outcome.Aside = append(p.Outcome.Aside, key)
		}
	}
	slices.SortFunc(p.Outcome.Aside, casebook.CaseKey.Compare)
	d.tally()
	done()
	before := p.Undo
	p.Undo = func() { emptied(); before() }
	return nil
}

func (d *decider) tally() {
	p, o := d.plan, &d.plan.Outcome
	for kind, t := range map[casebook.Kind]Tally{
		casebook.CaseKind: p.Cases.Tally, casebook.CourseKind: p.Courses.Tally,
		casebook.MovementKind: p.Movements.Tally, casebook.RepeatKind: p.Repeats.Tally,
	} {
		if t != (Tally{}) {
			o.Tallies[kind] = t
		}
	}
	o.Refused = refused(d.b, p.Movements.Retire)
	o.Rejected, o.Problems = len(d.b.Rejected), len(d.b.Problems)
}

// leaveOutErased drops the records of erased cases.
func (d *decider) leaveOutErased() {
	if d.k.Erased == nil {
		return
	}
	b, before := d.b, 0
	before = len(b.Cases) + len(b.Courses) + len(b.Movements) + len(b.Repeats)
	b.Cases = slices.DeleteFunc(slices.Clone(b.Cases), func(r casebook.Record[casebook.Case]) bool { return d.k.Erased(r.Value.Key()) })
	b.Courses = slices.DeleteFunc(slices.Clone(b.Courses), func(r casebook.Record[casebook.Course]) bool { return d.k.Erased(r.Value.Case) })
	b.Movements = slices.DeleteFunc(slices.Clone(b.Movements), func(r casebook.Record[casebook.Movement]) bool { return d.k.Erased(r.Value.Case) })
	b.Repeats = slices.DeleteFunc(slices.Clone(b.Repeats), func(r casebook.Record[casebook.Repeat]) bool { return d.k.Erased(r.Value.Case) })
	d.plan.Outcome.Erased = before - len(b.Cases) - len(b.Courses) - len(b.Movements) - len(b.Repeats)
}

// eachKey visits the case of every record of a file.
func eachKey(b *casebook.Batch, visit func(id, practice *string, at casebook.Source)) {
	for i := range b.Cases {
		visit(&b.Cases[i].Value.ID, &b.Cases[i].Value.Practice, b.Cases[i].Source)
	}
	for i := range b.Courses {
		k := &b.Courses[i].Value.Case
		visit(&k.ID, &k.Practice, b.Courses[i].Source)
	}
	for i := range b.Movements {
		k := &b.Movements[i].Value.Case
		visit(&k.ID, &k.Practice, b.Movements[i].Source)
	}
	for i := range b.Repeats {
		k := &b.Repeats[i].Value.Case
		visit(&k.ID, &k.Practice, b.Repeats[i].Source)
	}
}

func casesOf(b *casebook.Batch) map[casebook.CaseKey]bool {
	out := map[casebook.CaseKey]bool{}
	eachKey(b, func(id, practice *string, _ casebook.Source) {
		out[casebook.CaseKey{Practice: *practice, ID: *id}] = true
	})
	return out
}

// keyOf is the key of a record.
type keyOf interface {
	comparable
	Split() (casebook.CaseKey, uint64)
}

// sortOut sorts the records of one kind into new, unchanged and replacing; finite, where
// there is one, refuses what no measurement can be.
func sortOut[T comparable, K keyOf](d *decider, ch *Changes[K], records []casebook.Record[T], held map[K]Held[T], key func(T) K, finite func(*T) bool, kind casebook.Kind) error {
	known := firsts.Of(func(i int) K { return key(records[i].Value) }, K.Split)
	for i := range records {
		r := &records[i]
		if first := known.Add(i); first != i {
			if records[first].Value != r.Value {
				return d.refused(Conflict, r.Source, "a different %s of the same key stands in sheet %s, row %d",
					kind, records[first].Source.Sheet, records[first].Source.Row)
			}
			ch.Tally.Unchanged++
			continue
		}
		if finite != nil && !finite(&r.Value) {
			return d.refused(Refused, r.Source, "a %s holds a number that is not finite", kind)
		}
		old, stands := held[key(r.Value)]
		if stands {
			again := 0 // also where none is counted the file is noted
			if kind != casebook.CaseKind || restates(old.Value, r.Value) {
				again = 1
			}
			d.plan.Again[old.File] += again
		}
		switch {
		case !stands:
			ch.Add = append(ch.Add, i)
			ch.Tally.New++
		case old.Value == r.Value:
			ch.Tally.Unchanged++
		default:
			ch.Replace = append(ch.Replace, i)
			ch.Tally.Superseded++
		}
	}
	return nil
}

func (d *decider) refused(kind Kind, at casebook.Source, format string, args ...any) *Error {
	return Refuse(kind, d.k.Path, at.Sheet, at.Row, format, args...)
}

// finite refuses numbers that no measurement can be; a database would make
// some of them a missing value.
func finite(xs ...float64) bool {
	return !slices.ContainsFunc(xs, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}

func finiteMovement(m *casebook.Movement) bool {
	return finite(m.Planned, m.Achieved.Value, m.StatedPercent.Value, m.SizeMM.Value)
}

func finiteRepeat(r *casebook.Repeat) bool { return finite(r.First, r.Second) }
