package store

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
)

// version is what the file replaces: the earlier files of which it is a later
// version, and what of them it lacks.
type version struct {
	parts  map[int64]bool // files whose place it takes; empty where it is no later version
	sameAs bool           // it is the same bytes, read in another way
	absent map[casebook.CaseKey]bool
}

// version compares the file with the earlier ones.
func (d *decider) version() version {
	t := d.plan.total()
	e := Edition{ID: -1, SHA256: d.b.File.SHA256, Reading: d.b.File.Reading, Records: t.New + t.Unchanged + t.Superseded, Again: d.plan.Again}
	editions := append(slices.Clone(d.k.Editions), e)
	later, parts := lineage(editions)
	v := version{parts: parts[e.ID], absent: map[casebook.CaseKey]bool{}}
	delete(v.parts, e.ID)
	for i := range d.k.Editions {
		x := &d.k.Editions[i]
		if later[x.ID] != e.ID {
			continue
		}
		v.sameAs = v.sameAs || x.SHA256 == e.SHA256
		d.plan.Outcome.Earlier = append(d.plan.Outcome.Earlier, casebook.File{Name: x.Name, SHA256: x.SHA256, Size: x.Size, Reading: x.Reading})
	}
	// any order: what is filled is a set
	for key, s := range d.k.Standing {
		if !d.cases[key] && slices.ContainsFunc(s.Files, func(file int64) bool { return v.parts[file] }) {
			v.absent[key] = true
		}
	}
	return v
}

func (p *Plan) total() Tally {
	return p.Cases.Tally.Add(p.Courses.Tally).Add(p.Movements.Tally).Add(p.Repeats.Tally)
}

// retire lists the records of earlier versions that this one no longer has:
// within the cases that it still holds, those it holds under another pseudonym,
// and all others only where it is said to be whole, or where it is the same bytes
// read in another way. What the file holds no record of at all (a workbook given
// without its sheet of repeats) is not retired.
func (d *decider) retire(v version) error {
	gone := map[casebook.CaseKey]bool{}
	for _, r := range d.plan.Outcome.Renamed {
		gone[r.From] = true
	}
	for key := range v.absent {
		switch {
		case gone[key]:
		case d.c.Whole || v.sameAs:
			gone[key] = true
		default:
			d.plan.Outcome.Absent = append(d.plan.Outcome.Absent, key)
		}
	}
	slices.SortFunc(d.plan.Outcome.Absent, casebook.CaseKey.Compare)
	if err := d.k.fetch(gone); err != nil {
		return err
	}
	corrected := d.correctedCourses()
	retires := func(key casebook.CaseKey, course int, file int64, holds bool) bool {
		switch {
		case corrected[casebook.CourseKey{Case: key, Number: course}]:
			return true
		case !v.parts[file]:
			return false
		}
		return gone[key] || v.sameAs || d.cases[key] && holds
	}
	b, p := d.b, d.plan
	retireFrom(&p.Cases, b.Cases, d.k.Cases, casebook.Case.Key, func(k casebook.CaseKey, file int64) bool {
		return retires(k, 0, file, len(b.Cases) > 0)
	})
	retireFrom(&p.Courses, b.Courses, d.k.Courses, casebook.Course.Key, func(k casebook.CourseKey, file int64) bool {
		return retires(k.Case, 0, file, len(b.Courses) > 0)
	})
	retireFrom(&p.Movements, b.Movements, d.k.Movements, casebook.Movement.Key, func(k casebook.MovementKey, file int64) bool {
		return retires(k.Case, k.Course, file, len(b.Movements) > 0)
	})
	retireFrom(&p.Repeats, b.Repeats, d.k.Repeats, casebook.Repeat.Key, func(k casebook.MovementKey, file int64) bool {
		return retires(k.Case, k.Course, file, len(b.Repeats) > 0)
	})
	return nil
}

// correctedCourses are the courses of cases given with Choices.Correct: the file
// takes the place of all that stood of them.
func (d *decider) correctedCourses() map[casebook.CourseKey]bool {
	out := map[casebook.CourseKey]bool{}
	for i := range d.b.Movements {
		m := &d.b.Movements[i].Value
		if slices.Contains(d.c.Correct, m.Case.ID) {
			out[casebook.CourseKey{Case: m.Case, Number: m.Course}] = true
		}
	}
	return out
}

// retireFrom notes the held records that the file does not give and that retires.
func retireFrom[T any, K comparable](ch *Changes[K], records []casebook.Record[T], held map[K]Held[T], key func(T) K, retires func(K, int64) bool) {
	if len(held) == 0 {
		return
	}
	given := make(map[K]bool, len(records))
	for i := range records {
		given[key(records[i].Value)] = true
	}
	for k, h := range held {
		if !given[k] && retires(k, h.File) {
			ch.Retire = append(ch.Retire, k)
			ch.Tally.Retired++
		}
	}
	slices.SortFunc(ch.Retire, func(a, b K) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
}

// refused counts the retired movements that the file holds and that were refused.
func refused(b *casebook.Batch, retired []casebook.MovementKey) int {
	if len(retired) == 0 {
		return 0
	}
	in := make(map[casebook.MovementKey]bool, len(b.RefusedMovements))
	for _, k := range b.RefusedMovements {
		in[k] = true
	}
	n := 0
	for _, k := range retired {
		if in[k] {
			n++
		}
	}
	return n
}
