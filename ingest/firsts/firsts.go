// Package firsts tells which of many records is the first of its key, in few bytes for
// each: it keeps where a record is and not its key.
//
// Place in the pipeline: ingest and store look for what a file gives twice. It imports
// nothing of the project.
package firsts

import (
	"math/bits"
	"math/rand/v2"
)

// Index of records that are kept elsewhere, by number. Records whose keys share a part,
// which those of one case do and which stand near each other, are found near each other.
type Index[K, P comparable] struct {
	key   func(i int) K
	split func(K) (part P, rest uint64)
	parts map[P]int32 // number of each part
	all   []part
	last  P
	at    int32  // number of last
	seed  uint64 // odd
}

// part are the records whose keys share it.
type part struct {
	n     int
	first uint32   // record, plus one
	slots []uint32 // the number of a record plus one, 0 where there is none; nil for one record
}

// Of is an empty index of records whose keys key gives, and split parts: keys that differ
// in their part must be different, and rest may be the same of different ones.
func Of[K, P comparable](key func(i int) K, split func(K) (part P, rest uint64)) *Index[K, P] {
	return &Index[K, P]{key: key, split: split, parts: map[P]int32{}, at: -1, seed: rand.Uint64() | 1}
}

// Add gives the first record of the key of record i, which is i itself where none of the
// key was added before.
func (x *Index[K, P]) Add(i int) (first int) {
	k := x.key(i)
	of, rest := x.split(k)
	p := x.partOf(of)
	if p.n == 0 {
		p.n, p.first = 1, uint32(i)+1
		return i
	}
	if p.slots == nil {
		if x.key(int(p.first)-1) == k {
			return int(p.first) - 1
		}
		p.slots = make([]uint32, 8)
		x.put(p, p.first)
	}
	if 4*(p.n+1) > 3*len(p.slots) {
		old := p.slots
		p.slots = make([]uint32, 4*len(old))
		for _, s := range old {
			if s > 0 {
				x.put(p, s)
			}
		}
	}
	at, found := x.find(p, k, rest)
	if found {
		return int(p.slots[at]) - 1
	}
	p.slots[at] = uint32(i) + 1
	p.n++
	return i
}

// partOf finds a part, which mostly is the one before.
func (x *Index[K, P]) partOf(of P) *part {
	if x.at < 0 || of != x.last {
		at, ok := x.parts[of]
		if !ok {
			at = int32(len(x.all))
			x.parts[of] = at
			x.all = append(x.all, part{})
		}
		x.last, x.at = of, at
	}
	return &x.all[x.at]
}

// put gives a record that is not there a slot.
func (x *Index[K, P]) put(p *part, record uint32) {
	k := x.key(int(record) - 1)
	_, rest := x.split(k)
	at, _ := x.find(p, k, rest)
	p.slots[at] = record
}

// find gives the slot of a key, or the empty one where it would be. The slot of rest is
// drawn by multiplying (Knuth, The Art of Computer Programming 3, 6.4) with a number that
// nobody can know before.
func (x *Index[K, P]) find(p *part, k K, rest uint64) (slot int, found bool) {
	mask := len(p.slots) - 1
	high, low := bits.Mul64(rest^x.seed, x.seed)
	for at := int(high^low) & mask; ; at = (at + 1) & mask {
		if p.slots[at] == 0 {
			return at, false
		}
		if x.key(int(p.slots[at])-1) == k {
			return at, true
		}
	}
}
