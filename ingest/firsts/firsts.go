// Package firsts tells which of many records is the first of its key, in four bytes and a
// half for each: it keeps where a record is and not its key.
//
// Place in the pipeline: ingest and store look for what a file gives twice. It imports
// nothing of the project.
package firsts

import "hash/maphash"

// Index of records that are kept elsewhere, by number.
type Index[K comparable] struct {
	key   func(i int) K
	seed  maphash.Seed
	slots []uint32 // the number of a record plus one, 0 where there is none
	n     int
}

// Of is an empty index of so many records, or more, whose keys key gives.
func Of[K comparable](records int, key func(i int) K) *Index[K] {
	size := 64
	for 3*size < 4*(records+1) {
		size *= 2
	}
	return &Index[K]{key: key, seed: maphash.MakeSeed(), slots: make([]uint32, size)}
}

// Add gives the first record of the key of record i, which is i itself where none of the
// key was added before.
func (x *Index[K]) Add(i int) (first int) {
	if 4*(x.n+1) > 3*len(x.slots) {
		x.grow()
	}
	at, found := x.find(x.key(i))
	if found {
		return int(x.slots[at]) - 1
	}
	x.slots[at] = uint32(i) + 1
	x.n++
	return i
}

// find gives the slot of a key, or the empty one where it would be.
func (x *Index[K]) find(k K) (slot int, found bool) {
	mask := len(x.slots) - 1
	for at := int(maphash.Comparable(x.seed, k)) & mask; ; at = (at + 1) & mask {
		if x.slots[at] == 0 {
			return at, false
		}
		if x.key(int(x.slots[at])-1) == k {
			return at, true
		}
	}
}

func (x *Index[K]) grow() {
	old := x.slots
	x.slots = make([]uint32, 2*len(old))
	for _, s := range old {
		if s > 0 {
			at, _ := x.find(x.key(int(s) - 1))
			x.slots[at] = s
		}
	}
}
