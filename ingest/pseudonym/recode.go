package pseudonym

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// recode makes the records of the copy: every code as stay decides, and the order
// drawn from the key.
func (c *copier) recode(b *casebook.Batch) (*casebook.Dataset, error) {
	c.learn(b)
	cases := c.codes("P", "case", columns.Case)
	clinicians, practices := c.codes("C", "clinician", columns.Clinician), c.codes("S", "practice", columns.Practice)
	shared := sharedCodes(b)
	key := func(k casebook.CaseKey) casebook.CaseKey {
		within := ""
		if shared[k.ID] {
			within = k.Practice + "\x00"
		}
		return casebook.CaseKey{Practice: practices.of(k.Practice), ID: cases.within(within, k.ID)}
	}
	ds := &casebook.Dataset{}
	for _, r := range b.Cases {
		v := r.Value
		k := key(v.Key())
		v.ID, v.Practice, v.Clinician = k.ID, k.Practice, clinicians.of(v.Clinician)
		v.Own = v.Own.Bare()
		ds.Cases = append(ds.Cases, v)
	}
	for _, r := range b.Courses {
		v := r.Value
		v.Case = key(v.Case)
		ds.Courses = append(ds.Courses, v)
	}
	for _, r := range b.Movements {
		v := r.Value
		v.Case = key(v.Case)
		ds.Movements = append(ds.Movements, v)
	}
	for _, r := range b.Repeats {
		v := r.Value
		v.Case = key(v.Case)
		ds.Repeats = append(ds.Repeats, v)
	}
	if cases.collided || clinicians.collided || practices.collided {
		return nil, errors.New("two codes have the same pseudonym under this key; use another key for this practice")
	}
	shuffle(c.key, ds.Cases, func(v casebook.Case) any { return v.Key() })
	shuffle(c.key, ds.Courses, func(v casebook.Course) any { return v.Key() })
	shuffle(c.key, ds.Movements, func(v casebook.Movement) any { return v.Key() })
	shuffle(c.key, ds.Repeats, func(v casebook.Repeat) any { return v.Key() })
	c.summary.Records = len(ds.Cases) + len(ds.Courses) + len(ds.Movements) + len(ds.Repeats)
	c.summary.Cases, c.summary.Clinicians, c.summary.Practices = cases.count(), clinicians.count(), practices.count()
	c.summary.Why = c.why(c.summary.Cases)
	return ds, nil
}

// sharedCodes are the codes that several practices of the file use, each for a
// case of its own; only their pseudonyms depend on the practice too, so that a
// file that names no practice gives a case the same pseudonym.
func sharedCodes(b *casebook.Batch) map[string]bool {
	in, out := map[string]string{}, map[string]bool{}
	note := func(k casebook.CaseKey) {
		if other, ok := in[k.ID]; ok && other != k.Practice {
			out[k.ID] = true
		}
		in[k.ID] = k.Practice
	}
	for _, r := range b.Cases {
		note(r.Value.Key())
	}
	for _, r := range b.Courses {
		note(r.Value.Case)
	}
	for _, r := range b.Movements {
		note(r.Value.Case)
	}
	for _, r := range b.Repeats {
		note(r.Value.Case)
	}
	return out
}

// codes are what the codes of one kind are in the copy.
type codes struct {
	key             Key
	prefix, purpose string
	stays           func(code string) bool
	made            map[string]string // by code
	from            map[string]string // by what stands in the copy
	kept            int
	collided        bool
}

func (c *copier) codes(prefix, purpose string, f columns.Field) *codes {
	stays := func(code string) bool { return c.stays(f, code) }
	return &codes{key: c.key, prefix: prefix, purpose: purpose, stays: stays, made: map[string]string{}, from: map[string]string{}}
}

// of gives what a code is in the copy; no code is none.
func (x *codes) of(code string) string { return x.within("", code) }

// within is of where several practices use a code: its pseudonyms differ by what is
// given of the practice.
func (x *codes) within(practice, code string) string {
	if code == "" {
		return ""
	}
	of := practice + code
	if p, ok := x.made[of]; ok {
		return p
	}
	if x.stays(code) {
		if was, taken := x.from[code]; taken && was != code {
			x.collided = true
		}
		if _, again := x.from[code]; !again {
			x.kept++
		}
		x.made[of], x.from[code] = code, code
		return code
	}
	p := x.key.name(x.prefix, x.purpose, of)
	if _, taken := x.from[p]; taken {
		x.collided = true
	}
	x.made[of], x.from[p] = p, of
	return p
}

func (x *codes) count() Codes { return Codes{Kept: x.kept, Renamed: len(x.from) - x.kept} }

// shuffle puts records in an order that only the key gives: that of the keyed
// hash of what identifies them.
func shuffle[T any](key Key, records []T, id func(T) any) {
	type placed struct {
		at  []byte
		rec T
	}
	all := make([]placed, len(records))
	for i, r := range records {
		all[i] = placed{key.sum("order", fmt.Sprintf("%T %v", r, id(r))), r}
	}
	slices.SortStableFunc(all, func(a, b placed) int { return bytes.Compare(a.at, b.at) })
	for i := range all {
		records[i] = all[i].rec
	}
}
