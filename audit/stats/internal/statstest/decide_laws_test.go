package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/decide"
)

// Adjusted P values are not below the raw ones, keep their order, and do not
// depend on the order given.
func TestMultiplicityLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	p := make([]float64, 30)
	for i := range p {
		p[i] = math.Pow(r.Float64(), 2)
	}
	for name, f := range map[string]func([]float64) []float64{"BH": decide.BenjaminiHochberg, "Holm": decide.Holm} {
		q := f(p)
		perm := r.Perm(len(p))
		shuffled := make([]float64, len(p))
		for i, j := range perm {
			shuffled[i] = p[j]
		}
		s := f(shuffled)
		for i, j := range perm {
			assert.Equal(t, q[j], s[i], name)
			assert.GreaterOrEqual(t, q[j], p[j], name)
			assert.LessOrEqual(t, q[j], 1.0, name)
			for k := range p {
				assert.True(t, p[k] <= p[j] || q[k] >= q[j], name)
			}
		}
	}
	holm, bh := decide.Holm(p), decide.BenjaminiHochberg(p)
	for i := range p { // a false discovery rate asks less than no false call at all
		assert.LessOrEqual(t, bh[i], holm[i]+1e-15)
	}
}
