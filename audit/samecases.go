package audit

import (
	"encoding/binary"
	"hash/maphash"
	"math"

	"shortfall/audit/measure"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// fewestAlike: with fewer planned movements two patients may well have the same
// ones (convention of this audit).
const fewestAlike = 5

// alikeCases counts the cases beyond the first of each set whose movements are
// the same in every course, tooth, axis, planned and achieved amount: a patient
// entered twice, under two pseudonyms, counts twice in every analysis.
func alikeCases(p *rows.Set) int {
	seed := maphash.MakeSeed()
	first := map[uint64][][]*casebook.Movement{} // by hash, in case order
	n := 0
	for from := 0; from < len(p.Order); {
		to := from + 1
		for to < len(p.Order) && p.ClusterOf[to] == p.ClusterOf[from] {
			to++
		}
		own := p.Order[from:to]
		from = to
		if plannedMovements(own) < fewestAlike {
			continue
		}
		h := hashMovements(seed, own)
		if alikeAny(first[h], own) {
			n++
			continue
		}
		first[h] = append(first[h], own)
	}
	return n
}

func plannedMovements(list []*casebook.Movement) (n int) {
	for _, m := range list {
		n += measure.OneIf(m.Planned != 0)
	}
	return n
}

// hashMovements only speeds the search up; alikeMovements decides.
func hashMovements(seed maphash.Seed, list []*casebook.Movement) uint64 {
	var h maphash.Hash
	h.SetSeed(seed)
	var b [26]byte
	for _, m := range list {
		binary.LittleEndian.PutUint64(b[0:], uint64(m.Course))
		b[8], b[9] = byte(m.Tooth), byte(m.Axis)
		binary.LittleEndian.PutUint64(b[10:], math.Float64bits(m.Planned))
		binary.LittleEndian.PutUint64(b[18:], math.Float64bits(m.Achieved.Value))
		_, _ = h.Write(b[:])
	}
	return h.Sum64()
}

func alikeAny(lists [][]*casebook.Movement, own []*casebook.Movement) bool {
	for _, l := range lists {
		if alikeMovements(l, own) {
			return true
		}
	}
	return false
}

// alikeMovements compares two cases, both in key order.
func alikeMovements(a, b []*casebook.Movement) bool {
	if len(a) != len(b) {
		return false
	}
	for i, x := range a {
		if y := b[i]; x.Course != y.Course || x.Tooth != y.Tooth || x.Axis != y.Axis || x.Planned != y.Planned || x.Achieved != y.Achieved {
			return false
		}
	}
	return true
}
