package store

import (
	"reflect"
	"slices"

	"shortfall/ingest/casebook"
)

// A file says nothing of what it has no column or no value for, and what it is silent
// about stays: a log without dentists takes no dentist from the list of cases. A later
// version of a file takes back what it leaves blank, but in a column that it has.

// keepSilent fills records that replace others with what stands and the file is silent
// about. The batch is changed by done, once nothing is refused any more; undo takes that
// back.
func (d *decider) keepSilent(v version) (done, undo func()) {
	p, b, k := d.plan, d.b, d.k
	cases, uncases := fill(&p.Cases, b.Cases, k.Cases, casebook.Case.Key, v, caseGroups, nil)
	courses, uncourses := fill(&p.Courses, b.Courses, k.Courses, casebook.Course.Key, v, nil, nil)
	movements, unmovements := fill(&p.Movements, b.Movements, k.Movements, casebook.Movement.Key, v, attachmentGroups, func(old, now casebook.Movement) bool {
		return old.Planned == now.Planned && !slices.Contains(d.c.Correct, now.Case.ID)
	})
	return func() { cases(); courses(); movements() }, func() { uncases(); uncourses(); unmovements() }
}

// group are fields that go together: where the file says something else of the first, or
// the contrary of what was said of it, the others are not taken from what stands. A path
// leads to a field in a field.
type group struct {
	first    string
	others   []string
	contrary bool
}

// The groups of the records. A field of no group is filled by itself. Sizes without
// direction are the file's own word, and what was achieved where it holds any outcome: a
// blank is "not measured" then. A list of plans, with no outcome at all, takes none away.
var (
	caseGroups = []group{
		{"AgeBand", []string{"Own.AgeBand"}, false},
		{"Own.AgeBand", []string{"AgeBand"}, false},
		{"Status", []string{"Own.Status"}, false},
		{"Status", []string{"End"}, true},
		{"Own.Status", []string{"Status"}, false},
		{"Wear", []string{"Own.Wear", "WearRecorded"}, false},
		{"Own.Wear", []string{"Wear", "WearRecorded"}, false},
	}
	attachmentGroups = []group{
		{"Style", []string{"Shape", "Orientation", "SizeMM", "Lost", "LostMonth"}, false},
		{"Lost", []string{"LostMonth"}, false},
		{"Achieved", []string{"StatedPercent"}, true},
		{"Achieved", []string{"Confirmed"}, false},
	}
	ownWord = []string{"SizeOnly"}
)

// fill does so for the records of one kind; ok, where there is one, says of which.
func fill[T comparable, K comparable](ch *Changes[K], records []casebook.Record[T], held map[K]Held[T], key func(T) K, v version, groups []group, ok func(old, now T) bool) (done, undo func()) {
	if len(ch.Replace) == 0 { // nothing stands that could be kept: all of a first import
		return func() {}, func() {}
	}
	said := map[string]bool{} // fields of which the file says something
	for i := range records {
		each(reflect.ValueOf(&records[i].Value).Elem(), "", func(path string, f reflect.Value) { said[path] = said[path] || !f.IsZero() })
	}
	filled, blank := map[int]T{}, map[int]T{}
	ch.Replace = slices.DeleteFunc(ch.Replace, func(i int) bool {
		now := records[i].Value
		old := held[key(now)]
		if v.parts[old.File] && v.sameAs || ok != nil && !ok(old.Value, now) {
			return false
		}
		to := silentOf(old.Value, now, groups, func(path string) bool { return said[path] && (v.parts[old.File] || path == "Achieved") })
		if to == old.Value {
			ch.Tally.Superseded--
			ch.Tally.Unchanged++
			return true
		}
		if to != now {
			filled[i], blank[i] = to, now
		}
		return false
	})
	put := func(values map[int]T) func() {
		return func() {
			for i, v := range values { // each by itself
				records[i].Value = v
			}
		}
	}
	return put(filled), put(blank)
}

// silentOf is a record with the fields of the older one that it leaves blank, but those
// that erases names.
func silentOf[T any](old, now T, groups []group, erases func(path string) bool) T {
	was := map[string]reflect.Value{}
	each(reflect.ValueOf(&old).Elem(), "", func(path string, f reflect.Value) { was[path] = f })
	is := map[string]reflect.Value{}
	out := now
	each(reflect.ValueOf(&now).Elem(), "", func(path string, f reflect.Value) { is[path] = f })
	bound := map[string]bool{}
	for _, path := range ownWord {
		bound[path] = true
	}
	for _, g := range groups {
		now, before := is[g.first], was[g.first]
		if !now.IsZero() && !now.Equal(before) && !(g.contrary && before.IsZero()) {
			for _, path := range g.others {
				bound[path] = true
			}
		}
	}
	each(reflect.ValueOf(&out).Elem(), "", func(path string, f reflect.Value) {
		if f.IsZero() && !bound[path] && !erases(path) {
			f.Set(was[path])
		}
	})
	return out
}

// restates reports a record that says at least half of what the older one of its case
// said: a log in which each row names its case is no later version of the list of cases.
func restates[T any](old, now T) bool {
	is := map[string]bool{}
	each(reflect.ValueOf(&now).Elem(), "", func(path string, f reflect.Value) { is[path] = !f.IsZero() })
	said, again := 0, 0
	each(reflect.ValueOf(&old).Elem(), "", func(path string, f reflect.Value) {
		if f.IsZero() || path == "ID" || path == "Practice" {
			return
		}
		said++
		if is[path] {
			again++
		}
	})
	return 2*again >= said
}

// each visits the fields of a record by their paths: those of the words of a practice's
// own one by one, all others whole.
func each(record reflect.Value, above string, visit func(path string, f reflect.Value)) {
	for i := range record.NumField() {
		path := above + record.Type().Field(i).Name
		if f := record.Field(i); f.Type() == reflect.TypeFor[casebook.Own]() {
			each(f, path+".", visit)
		} else {
			visit(path, f)
		}
	}
}
