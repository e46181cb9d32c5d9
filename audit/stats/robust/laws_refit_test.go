package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// refitDesigns are designs of every way to decompose them: far from dependent,
// a column that repeats another, one that varies in no mouth.
func refitDesigns(seed uint64) map[string]AbsorbedModel {
	plain := absorbedData(seed, 30)
	with := func(column func(i int) float64) AbsorbedModel {
		m, p := plain, len(plain.Names)
		m.Names, m.X = append(append([]string{}, plain.Names...), "more"), nil
		for i := range plain.Y {
			m.X = append(append(m.X, plain.X[i*p:(i+1)*p]...), column(i))
		}
		return m
	}
	return map[string]AbsorbedModel{
		"plain":     plain,
		"dependent": with(func(i int) float64 { return 2 * plain.X[3*i+1] }),
		"flat":      with(func(i int) float64 { return float64(plain.Group[i]) }),
	}
}

// Other outcomes and fewer clusters give, to the last bit, what a fit from the start
// gives: a check may say nothing of its own about rounding.
func TestRefitAndKeepingAreFitsFromTheStart(t *testing.T) {
	for name, m := range refitDesigns(3) {
		for _, root := range []Root{WeightedRows, IdentityTarget} {
			m.Root = root
			f := absorbedFit(t, m)
			r := rand.New(rand.NewPCG(1, 2))
			for range 3 {
				other := m
				other.Y = make([]float64, len(m.Y))
				for i := range other.Y {
					other.Y[i] = r.NormFloat64()
				}
				again, err := f.Refit(other.Y)
				require.NoError(t, err)
				sameFit(t, absorbedFit(t, other), again, name, root)
			}
			for _, keep := range []func(int) bool{
				func(c int) bool { return c != 4 }, func(c int) bool { return c%3 > 0 }, func(c int) bool { return c < 12 },
			} {
				var to []int
				for i, c := range m.Cluster {
					if keep(c) {
						to = append(to, i)
					}
				}
				want := absorbedFit(t, m.order(to))
				again, err := f.Keeping(keep)
				require.NoError(t, err)
				sameFit(t, want, again, name, root)
				coef, err := f.CoefKeeping(keep)
				require.NoError(t, err)
				assert.Equal(t, numbers(want.Coef), numbers(coef), name)
			}
			spent := m
			spent.X, spent.Spent = slices.Clone(m.X), true
			given := absorbedFit(t, spent)
			sameFit(t, f, given, name, root)
			again, err := given.Refit(m.Y)
			require.NoError(t, err)
			sameFit(t, f, again, name, root)
			_, err = given.Keeping(func(int) bool { return true })
			require.ErrorContains(t, err, "spent")

			_, err = f.Keeping(func(int) bool { return false })
			require.Error(t, err)
			_, err = f.Refit(m.Y[1:])
			require.Error(t, err)
			_, err = f.Refit(append([]float64{math.NaN()}, m.Y[1:]...))
			require.Error(t, err)
		}
	}
}

// numbers can be compared where they are NaN.
func numbers(v []float64) (bits []uint64) {
	for _, x := range v {
		bits = append(bits, math.Float64bits(x))
	}
	return bits
}

func sameFit(t *testing.T, want, got *AbsorbedFit, name string, root Root) {
	t.Helper()
	p := len(want.Names)
	assert.Equal(t, want.Dropped, got.Dropped, name)
	assert.Equal(t, numbers(want.Coef), numbers(got.Coef), name)
	for j := range p {
		for range 2 { // the second time from what was kept
			a, b := want.Contrast(statstest.Unit(p, j), .95), got.Contrast(statstest.Unit(p, j), .95)
			assert.Equal(t, numbers([]float64{a.Value, a.SE, a.DF, a.Low, a.High, a.P}), numbers([]float64{b.Value, b.SE, b.DF, b.Low, b.High, b.P}), "%s, %v, %s", name, root, want.Names[j])
			assert.Equal(t, []int{a.N, a.Clusters}, []int{b.N, b.Clusters})
		}
	}
	a, b := want.JointTest([][]float64{statstest.Unit(p, 0), statstest.Unit(p, 1)}), got.JointTest([][]float64{statstest.Unit(p, 0), statstest.Unit(p, 1)})
	assert.Equal(t, numbers([]float64{a.F, a.DF2, a.P}), numbers([]float64{b.F, b.DF2, b.P}), name)
}

// BenchmarkRefit sets other outcomes on one design against a fit from the start.
func BenchmarkRefit(b *testing.B) {
	m := absorbedData(1, 2000)
	f, err := FitAbsorbed(m)
	require.NoError(b, err)
	c := statstest.Unit(len(m.Names), 0)
	f.Contrast(c, .95)
	b.Run("from the start", func(b *testing.B) {
		for b.Loop() {
			g, _ := FitAbsorbed(m)
			g.Contrast(c, .95)
		}
	})
	b.Run("refit", func(b *testing.B) {
		for b.Loop() {
			g, _ := f.Refit(m.Y)
			g.Contrast(c, .95)
		}
	})
}

// BenchmarkKeeping sets the coefficients without a third of the clusters against
// those of a fit from the start.
func BenchmarkKeeping(b *testing.B) {
	m := absorbedData(1, 2000)
	f, err := FitAbsorbed(m)
	require.NoError(b, err)
	keep := func(c int) bool { return c%3 > 0 }
	b.Run("from the start", func(b *testing.B) {
		for b.Loop() {
			var to []int
			for i, c := range m.Cluster {
				if keep(c) {
					to = append(to, i)
				}
			}
			_, _ = FitAbsorbed(m.order(to))
		}
	})
	b.Run("keeping", func(b *testing.B) {
		for b.Loop() {
			_, _ = f.CoefKeeping(keep)
		}
	})
}
