package robust

import (
	"fmt"
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
			}
			given := absorbedFit(t, columnwise(m))
			sameFit(t, f, given, name, root)
			again, err := given.Refit(m.Y)
			require.NoError(t, err)
			sameFit(t, f, again, name, root)
			again, err = given.Keeping(func(c int) bool { return c%3 > 0 })
			require.NoError(t, err)
			kept, err := f.Keeping(func(c int) bool { return c%3 > 0 })
			require.NoError(t, err)
			sameFit(t, kept, again, name, root)

			_, err = f.Keeping(func(int) bool { return false })
			require.Error(t, err)
			_, err = f.Refit(m.Y[1:])
			require.Error(t, err)
			_, err = f.Refit(append([]float64{math.NaN()}, m.Y[1:]...))
			require.Error(t, err)
		}
	}
}

// columnwise is the same model by columns, of which every second row is not of the model.
func columnwise(m AbsorbedModel) AbsorbedModel {
	p := len(m.Names)
	m.Columns = make([]Column, p)
	for i := range m.Y {
		m.Rows = append(m.Rows, 2*i+1)
		for j := range m.Columns {
			m.Columns[j].Values = append(m.Columns[j].Values, math.NaN(), m.X[i*p+j])
		}
	}
	m.X = nil
	return m
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

// nestedDesigns are those of refitDesigns, one in which a column comes so near to
// another that cross-products are not trusted, and one in which it varies in some clusters alone.
func nestedDesigns() map[string]AbsorbedModel {
	all := refitDesigns(5)
	plain, p := all["plain"], len(all["plain"].Names)
	columns := map[string]func(i int) float64{"near": func(i int) float64 { return plain.X[i*p+1] + 1e-4*math.Sin(float64(7*i)) }}
	for k := range 4 { // what is left of such a column is rounding, of either sign
		columns[fmt.Sprint("alone ", k)] = func(i int) float64 {
			return statstest.Indicator(plain.Cluster[i]%3 == 0) * math.Sin(float64(k+i))
		}
	}
	for name, column := range columns {
		m := plain
		m.Names, m.X = append(append([]string{}, plain.Names...), name), nil
		for i := range m.Y {
			m.X = append(append(m.X, plain.X[i*p:(i+1)*p]...), column(i))
		}
		all[name] = m
	}
	return all
}

// columnsOf is a model on some of its columns.
func columnsOf(m AbsorbedModel, cols []int) AbsorbedModel {
	out, p := m, len(m.Names)
	out.Names, out.X = nil, nil
	for _, j := range cols {
		out.Names = append(out.Names, m.Names[j])
	}
	for i := range m.Y {
		for _, j := range cols {
			out.X = append(out.X, m.X[i*p+j])
		}
	}
	return out
}

// near allows for the order of sums; NaN stands where NaN is wanted.
func near(t *testing.T, want, got []float64, name string) {
	t.Helper()
	require.Len(t, got, len(want), name)
	for i := range want {
		if math.IsNaN(want[i]) {
			assert.True(t, math.IsNaN(got[i]), "%s: %v", name, got[i])
		} else {
			assert.InDelta(t, want[i], got[i], 1e-10*(1+math.Abs(want[i])), name)
		}
	}
}

// Models on some of the columns, in any order, and without some of the groups are fits
// from the start: those without nearly all rows of one column too.
func TestNestedModelsAreFitsFromTheStart(t *testing.T) {
	for name, m := range nestedDesigns() {
		all := m
		all.X = slices.Clone(m.X)
		n, err := NewNested(all)
		require.NoError(t, err)
		last := len(m.Names) - 1
		for _, cols := range [][]int{{0, 1, 2}, {2, 0, last}, {last, 1}, {1, last, 0, 2}} {
			some := columnsOf(m, cols)
			want, got := absorbedFit(t, some), n.Fit(cols)
			what := name + fmt.Sprint(cols)
			assert.Equal(t, want.Names, got.Names)
			assert.Equal(t, want.Dropped, got.Dropped, what)
			near(t, want.Coef, got.Coef, what)
			for j := range cols {
				a, b := want.Contrast(statstest.Unit(len(cols), j), .95), got.Contrast(statstest.Unit(len(cols), j), .95)
				near(t, []float64{a.Value, a.SE, a.DF, a.P}, []float64{b.Value, b.SE, b.DF, b.P}, what)
				assert.Equal(t, []int{a.N, a.Clusters}, []int{b.N, b.Clusters}, what)
			}
			for _, leaves := range []func(c int) bool{func(c int) bool { return c == 4 }, func(c int) bool { return c%3 == 0 }, func(c int) bool { return c != 4 && c != 9 }} {
				var leave, stay []int
				for i, c := range m.Cluster {
					if leaves(c) {
						leave = append(leave, i)
					} else {
						stay = append(stay, i)
					}
				}
				coef, err := n.Coef(cols, leave)
				require.NoError(t, err)
				near(t, absorbedFit(t, some.order(stay)).Coef, coef, what)
			}
		}
		every := make([]int, len(m.Y))
		for i := range every {
			every[i] = i
		}
		_, err = n.Coef([]int{0}, every)
		require.Error(t, err)
	}
}

// BenchmarkNested sets the coefficients without a third of the clusters, each in turn,
// against fits from the start.
func BenchmarkNested(b *testing.B) {
	m := absorbedData(1, 2000)
	all := m
	all.X = slices.Clone(m.X)
	n, err := NewNested(all)
	require.NoError(b, err)
	var parts [3][]int
	for i, c := range m.Cluster {
		parts[c%3] = append(parts[c%3], i)
	}
	b.Run("from the start", func(b *testing.B) {
		for b.Loop() {
			for k := range parts {
				_, _ = FitAbsorbed(m.order(slices.Concat(parts[(k+1)%3], parts[(k+2)%3])))
			}
		}
	})
	b.Run("nested", func(b *testing.B) {
		for b.Loop() {
			for _, leave := range parts {
				_, _ = n.Coef([]int{0, 1, 2}, leave)
			}
		}
	})
}
