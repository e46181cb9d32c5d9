// Package disclose is the small-number rule for results that leave the practice:
// which cells of which tables are withheld so that no small one can be worked out.
//
// Place in the pipeline: the grid, the comparisons and every question of audit
// hand their tables to it; it knows cases and sums, and nothing of teeth.
package disclose

import (
	"cmp"
	"slices"
)

// Tables are additive cells, each a set of parts (the finest cells), some of
// them too small to show. Whoever reads the shown cells may add and subtract
// them, so a small cell is safe only while no combination of shown cells gives
// its parts.
type Tables struct {
	Parts [][]int32 // of each cell
	Cases []int     // in each cell
	// mute cells are never shown anyway (movements without a recorded style),
	// but a reader could work them out.
	Mute []bool
	// lines are the sums a reader can see through at a glance: a margin and
	// the cells it is made of.
	Lines [][]int
	// open cells are shown whatever follows from them.
	Open []int
	// first are the cells that readers came for: offered before larger ones.
	First []int
}

// Hidden decides which cells stay out of results that leave the practice: all
// with fewer than least cases, and as few others as needed that none of the
// small ones is recoverable (secondary suppression). Cells are offered from
// the most cases to the fewest, those that come first before the others; one is shown
// unless the shown cells would then span a small one. Every line with a hidden cell also hides one that is not
// small, so that a small sum gives nothing away.
func (t *Tables) Hidden(least int) []bool {
	small := make([]bool, len(t.Parts))
	var order []int
	for i, n := range t.Cases {
		small[i] = n < least
		if !small[i] && !t.Mute[i] && !slices.Contains(t.Open, i) {
			order = append(order, i)
		}
	}
	later := make([]int, len(t.Parts))
	for i := range later {
		later[i] = 1
	}
	for _, i := range t.First {
		later[i] = 0
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(later[a], later[b]), cmp.Compare(t.Cases[b], t.Cases[a]))
	})
	secret := [][]int32{}
	for i := range t.Parts {
		if small[i] {
			secret = append(secret, t.Parts[i])
		}
	}
	for {
		hide := t.offer(order, secret)
		known := len(secret)
		for _, sum := range t.thinLines(hide, small) {
			// What open cells give away comes back every time.
			if !slices.ContainsFunc(secret, func(s []int32) bool { return slices.Equal(s, sum) }) {
				secret = append(secret, sum)
			}
		}
		if len(secret) == known {
			return hide
		}
	}
}

// offer shows cells one by one while no secret comes into reach.
func (t *Tables) offer(order []int, secret [][]int32) []bool {
	hide := make([]bool, len(t.Parts))
	for i := range hide {
		hide[i] = true
	}
	s := newSpan(t.Parts, secret)
	for _, i := range t.Open {
		s.concede(t.Parts[i])
		hide[i] = false
	}
	for _, i := range order {
		hide[i] = !s.add(t.Parts[i])
	}
	return hide
}

// thinLines gives the sums of hidden cells that a shown margin lays open and
// that hold small cells only.
func (t *Tables) thinLines(hide, small []bool) (sums [][]int32) {
	for _, line := range t.Lines {
		if hide[line[0]] {
			continue
		}
		var sum []int32
		thin := true
		for _, i := range line[1:] {
			if hide[i] {
				sum = append(sum, t.Parts[i]...)
				thin = thin && small[i]
			}
		}
		if len(sum) > 0 && thin {
			sums = append(sums, sum)
		}
	}
	return sums
}

// span is the set of all sums and differences of the shown cells, kept as a
// triangular basis over the integers modulo a prime: exact, and small. A
// combination over the fractions is one modulo the prime unless the prime
// divides a minor of a matrix of zeros and ones, which these small tables do
// not reach.
type span struct {
	n      int
	basis  [][]uint64
	pivots []int
	secret [][]uint64 // reduced by the basis; zero would mean recoverable
}

const prime = 1<<31 - 1

func newSpan(parts, secret [][]int32) *span {
	s := &span{}
	for _, p := range parts {
		for _, i := range p {
			s.n = max(s.n, int(i)+1)
		}
	}
	for _, p := range secret {
		s.secret = append(s.secret, s.vector(p))
	}
	return s
}

func (s *span) vector(parts []int32) []uint64 {
	v := make([]uint64, s.n)
	for _, i := range parts {
		v[i]++
	}
	return v
}

// add takes a cell into the span, or refuses where that would reveal a secret.
func (s *span) add(parts []int32) bool {
	v := s.vector(parts)
	for k, b := range s.basis {
		eliminate(v, b, s.pivots[k])
	}
	pivot := slices.IndexFunc(v, func(x uint64) bool { return x != 0 })
	if pivot < 0 {
		return true // it follows from the shown cells already
	}
	scale(v, inverse(v[pivot]))
	for _, x := range s.secret {
		if multiple(x, v, pivot) {
			return false
		}
	}
	for _, x := range s.secret {
		eliminate(x, v, pivot)
	}
	s.basis, s.pivots = append(s.basis, v), append(s.pivots, pivot)
	return true
}

// concede takes a cell into the span and gives up the secrets it reveals.
func (s *span) concede(parts []int32) {
	v := s.vector(parts)
	for k, b := range s.basis {
		eliminate(v, b, s.pivots[k])
	}
	pivot := slices.IndexFunc(v, func(x uint64) bool { return x != 0 })
	if pivot < 0 {
		return
	}
	scale(v, inverse(v[pivot]))
	for _, x := range s.secret {
		eliminate(x, v, pivot)
	}
	s.secret = slices.DeleteFunc(s.secret, func(x []uint64) bool {
		return !slices.ContainsFunc(x, func(y uint64) bool { return y != 0 })
	})
	s.basis, s.pivots = append(s.basis, v), append(s.pivots, pivot)
}

// eliminate subtracts the multiple of b (1 at its pivot) that clears v there.
func eliminate(v, b []uint64, pivot int) {
	f := v[pivot]
	if f == 0 {
		return
	}
	for i, x := range b {
		if x != 0 {
			v[i] = (v[i] + (prime-f)*x) % prime
		}
	}
}

// multiple reports x = x[pivot] b, so that b would reveal x.
func multiple(x, b []uint64, pivot int) bool {
	f := x[pivot]
	if f == 0 {
		return false
	}
	for i := range b {
		if x[i] != f*b[i]%prime {
			return false
		}
	}
	return true
}

func scale(v []uint64, f uint64) {
	for i := range v {
		v[i] = v[i] * f % prime
	}
}

// inverse modulo the prime, by Fermat's little theorem.
func inverse(x uint64) uint64 {
	result, base := uint64(1), x%prime
	for e := uint64(prime - 2); e > 0; e >>= 1 {
		if e&1 == 1 {
			result = result * base % prime
		}
		base = base * base % prime
	}
	return result
}
