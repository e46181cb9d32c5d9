package sandwich

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats"
)

// patient is a view of one cluster of k rows and m columns, of a fit of p.
func patient(rng *rand.Rand, k, m, p int) (v *view, inverse, w []float64) {
	v = &view{block: *newBlock(p), sparse: true}
	v.k, v.seen = k, make([]float64, k)
	l := make([]float64, p*p)
	for i := range p {
		for j := i; j < p; j++ {
			l[i*p+j] = 0.015 * rng.NormFloat64()
		}
		w = append(w, rng.NormFloat64())
	}
	v.kept = rng.Perm(p)[:m]
	slices.Sort(v.kept)
	for range m {
		x := make([]float64, k)
		for r := range x {
			x[r] = rng.NormFloat64()
		}
		v.x = append(v.x, x)
	}
	return v, (&Solution{P: p, L: l}).inverse(), w
}

// Four rows in registers are what rows of any number are.
func TestFourRowsAreAnyRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 4))
	for k := 1; k <= lanes; k++ {
		for _, m := range []int{1, 2, 8} {
			v, inverse, w := patient(rng, k, m, 20)
			f := newAdjuster(20, stats.CR2, 50)
			q, z, h := make([]float64, k), make([]float64, m), make([]float64, k*k)
			v.hatsOfAny(inverse)
			copy(h, v.n)
			v.seeAny(w)
			seen := slices.Clone(v.seen)
			f.apply(h, seen, q)
			v.backOfAny(q, z)
			gotQ, gotZ := make([]float64, k), make([]float64, m)
			v.hats(inverse)
			assert.InDeltaSlice(t, h, v.n[:k*k], 1e-14)
			v.see(w)
			assert.InDeltaSlice(t, seen, v.seen, 1e-14)
			v.adjust(f, gotQ)
			v.back(gotQ, gotZ)
			assert.InDeltaSlice(t, q, gotQ, 1e-13)
			assert.InDeltaSlice(t, z, gotZ, 1e-13)
		}
	}
}

// BenchmarkFour sets the registers against the loops for any number of rows.
func BenchmarkFour(b *testing.B) {
	v, inverse, w := patient(rand.New(rand.NewPCG(9, 5)), 3, 8, 20)
	f := newAdjuster(20, stats.CR2, 50)
	q, z := make([]float64, 3), make([]float64, 8)
	b.Run("registers", func(b *testing.B) {
		for b.Loop() {
			v.hats(inverse)
			v.see(w)
			v.adjust(f, q)
			v.back(q, z)
		}
	})
	b.Run("loops", func(b *testing.B) {
		for b.Loop() {
			v.hatsOfAny(inverse)
			v.seeAny(w)
			f.apply(v.n[:9], v.seen, q)
			v.backOfAny(q, z)
		}
	})
}
