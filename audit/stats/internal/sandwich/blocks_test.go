package sandwich

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
)

// mouths is a design of n clusters of one or two groups of a few rows each: numbers, and
// indicators of many words of which a group holds a few, every second one written out, and
// the product of a number with the last.
func mouths(rng *rand.Rand, n, words int) (d Design, y []float64) {
	d.Columns = make([]Column, 2+words)
	var codes []int32
	for c := range n {
		for range 1 + rng.IntN(2) {
			for range 1 + rng.IntN(5) {
				d.Columns[0].Values = append(d.Columns[0].Values, rng.NormFloat64())
				d.Columns[1].Values = append(d.Columns[1].Values, float64(rng.IntN(2)))
				codes = append(codes, int32(rng.IntN(words+1)))
				d.Cluster, d.Group = append(d.Cluster, c), append(d.Group, 2*c+len(d.Group)%2)
				d.Weights, y = append(d.Weights, 0.5+rng.Float64()), append(y, rng.NormFloat64())
			}
		}
	}
	for w := range words {
		c := &d.Columns[2+w]
		if c.Codes, c.Code = codes, int32(w); w%2 == 0 {
			*c = Column{Values: written(c, len(y))}
		}
	}
	if words > 0 {
		d.Columns = append(d.Columns, Column{Values: d.Columns[1].Values, Codes: codes, Code: int32(words - 1)})
	}
	return d, y
}

// written is a column written out.
func written(c *Column, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = c.At(i)
	}
	return out
}

// full are the rows of a design less their group means, all columns of them, by loops
// that share nothing with Blocks.
func full(d Design, y []float64) (x, out, root []float64) {
	n, w := len(y), len(d.Columns)
	x, out, root = make([]float64, n*w), make([]float64, n), make([]float64, n)
	mean := func(v []float64, g int) float64 {
		var sum, total float64
		for i := range v {
			if d.Group[i] == g {
				sum, total = sum+d.Weights[i]*v[i], total+d.Weights[i]
			}
		}
		return sum / total
	}
	for i := range n {
		out[i], root[i] = y[i]-mean(y, d.Group[i]), math.Sqrt(d.Weights[i])
		for j, c := range d.Columns {
			if x[i*w+j] = c.At(i) - mean(written(&c, n), d.Group[i]); math.Abs(x[i*w+j]) < 1e-14 {
				x[i*w+j] = 0
			}
		}
	}
	return x, out, root
}

func blocksOf(t testing.TB, d Design) *Blocks {
	t.Helper()
	b, err := NewBlocks(d, func(j int) string { return fmt.Sprint(j) })
	require.NoError(t, err)
	return b
}

// Blocks give the fit, the variance, the joint test and the deletions of the same rows
// spelt out in full, whether clusters have fewer rows than columns or more.
func TestBlocksAreTheRowsSpeltOut(t *testing.T) {
	all := []struct{ clusters, words int }{{12, 2}, {40, 12}, {60, 0}, {200, 30}, {150, 70}}
	if os.Getenv("SHORTFALL_LONG") == "" {
		all = all[:3] // fewer rows and more, and no words: the rest is larger
	}
	for _, of := range all {
		d, y := mouths(rand.New(rand.NewPCG(9, uint64(of.clusters))), of.clusters, of.words)
		d.Arena = used()
		name := fmt.Sprintf("%d clusters, %d words", of.clusters, of.words)
		w := len(d.Columns)
		x, centred, root := full(d, y)
		want := NewOrthonormal(x, centred, root, w)
		all := make([]int, w)
		for j := range all {
			all[j] = j
		}
		got := blocksOf(t, d).Products(y).Fit(all)
		require.Equal(t, want.Cols, got.Cols, name)
		assert.InDeltaSlice(t, want.Coef, got.Coef, 1e-11, name)
		assert.InDelta(t, want.RSS, got.RSS, 1e-11*want.RSS, name)
		plain, blocks := NewPlainSandwich(want, NewClustering(len(y), d.Cluster), stats.CR2), NewBlockSandwich(got)
		first, second := make([]float64, w), make([]float64, w)
		first[0], second[1], second[w-1] = 1, 1, 2
		for _, c := range [][]float64{first, second} {
			u, _ := want.Coordinates(c)
			v, _ := got.Coordinates(c)
			assert.InEpsilon(t, plain.Between([][]float64{u})[0], blocks.Between([][]float64{v})[0], 1e-10, name)
			assert.InEpsilon(t, plain.Gather([][]float64{u}).moments(nil).satterthwaite(), blocks.Gather([][]float64{v}).moments(nil).satterthwaite(), 1e-9, name)
		}
		a := RobustJoint(&want.Solution, plain, [][]float64{first, second}, "")
		b := RobustJoint(&got.Solution, blocks, [][]float64{first, second}, "")
		assert.InEpsilon(t, a.F, b.F, 1e-9, name)
		assert.InEpsilon(t, a.DF2, b.DF2, 1e-9, name)
		deletionsHold(t, d, y, got, first, name)
	}
}

// used is memory in which others left no number.
func used() *stats.Arena {
	a := new(stats.Arena)
	for _, v := range [][]float64{a.Room(1 << 16), a.Room(1 << 14)} {
		for i := range v {
			v[i] = math.NaN()
		}
	}
	a.Reset()
	return a
}

// A fit on columns in another order than that of the design is the same fit.
func TestColumnsInAnyOrder(t *testing.T) {
	d, y := mouths(rand.New(rand.NewPCG(9, 5)), 60, 6)
	p := blocksOf(t, d).Products(y)
	cols, back := []int{0, 1, 2, 4, 5}, []int{5, 4, 2, 1, 0}
	var df, between []float64
	for _, of := range [][]int{cols, back} {
		f := p.Fit(of)
		require.Len(t, f.Cols, 5)
		c := make([]float64, 5)
		c[slices.Index(of, 1)], c[slices.Index(of, 4)] = 1, -1
		l, _ := f.Coordinates(c)
		s := NewBlockSandwich(f)
		between = append(between, s.Between([][]float64{l})[0])
		df = append(df, s.Gather([][]float64{l}).moments(nil).satterthwaite())
	}
	assert.InEpsilon(t, between[0], between[1], 1e-10)
	assert.InEpsilon(t, df[0], df[1], 1e-10)
}

// deletionsHold sets what a cluster moves against fits without it.
func deletionsHold(t *testing.T, d Design, y []float64, f *BlockFit, c []float64, name string) {
	t.Helper()
	l, _ := f.Coordinates(c)
	for g, k := range NewBlockSandwich(f).Deletions(l) {
		var stay []int
		for h := range f.p.Clusters() {
			if h != g {
				stay = append(stay, h)
			}
		}
		some, rows := f.Blocks().Among(stay)
		left := make([]float64, len(rows))
		for k, i := range rows {
			left[k] = y[i]
		}
		without := some.Products(left).Fit(f.cols)
		if len(without.Dropped) > len(f.Dropped) || math.IsNaN(k.Shift) {
			continue // a column goes with the cluster
		}
		assert.InDelta(t, without.Value(c), f.Value(c)-k.Shift, 1e-9, name)
	}
}

// What is constant within every group but for rounding is no column; a value that is no
// number is refused by its row and name.
func TestBlocksOfNothing(t *testing.T) {
	d, y := mouths(rand.New(rand.NewPCG(9, 1)), 30, 3)
	flat := make([]float64, len(y))
	for i, g := range d.Group {
		flat[i] = 1e6 + float64(g) + 1e-9*float64(i%3)
	}
	d.Columns = append(d.Columns, Column{Values: flat})
	p := blocksOf(t, d).Products(y)
	q := p.Width + 1
	assert.Zero(t, p.g[6*q+6])
	assert.Positive(t, p.g[5*q+5])
	assert.Contains(t, p.Fit([]int{5, 6}).Dropped, 1)
	d.Columns[2].Values[7] = math.Inf(1)
	_, err := NewBlocks(d, func(j int) string { return fmt.Sprint("column ", j) })
	require.ErrorContains(t, err, "row 7")
	require.ErrorContains(t, err, "column 2")
}

// BenchmarkBlocks sets the fit and its variance against those of the same rows in full.
func BenchmarkBlocks(b *testing.B) {
	d, y := mouths(rand.New(rand.NewPCG(9, 2)), 1500, 28)
	x, centred, root := full(d, y)
	w := len(d.Columns)
	all, c := make([]int, w), make([]float64, w)
	for j := range all {
		all[j] = j
	}
	c[1] = 1
	b.Run("blocks", func(b *testing.B) {
		for b.Loop() {
			f := blocksOf(b, d).Products(y).Fit(all)
			l, _ := f.Coordinates(c)
			NewBlockSandwich(f).Gather([][]float64{l})
		}
	})
	b.Run("in full", func(b *testing.B) {
		for b.Loop() {
			o := (&Orthonormal{Solution: Solution{Width: w}, N: len(y), X: x, RootW: root}).Decompose(centred)
			l, _ := o.Coordinates(c)
			NewPlainSandwich(o, NewClustering(len(y), d.Cluster), stats.CR2).Gather([][]float64{l})
		}
	})
}

// A design whose groups hold one, two or many rows, weighted or not, is spelt out again
// from its coordinates.
func TestTurnedAndBack(t *testing.T) {
	d, y := mouths(rand.New(rand.NewPCG(9, 3)), 40, 4)
	for _, weights := range [][]float64{d.Weights, nil} {
		d.Weights = weights
		b := blocksOf(t, d)
		require.Equal(t, b.Rows()-b.Groups(), b.Size())
		rows := b.spelt(b.Outcome(y), 1)
		if weights == nil {
			d.Weights = make([]float64, len(y))
			for i := range d.Weights {
				d.Weights[i] = 1
			}
		}
		_, centred, root := full(d, y)
		for k, v := range rows {
			assert.InDelta(t, centred[b.Row(k)]*root[b.Row(k)], v, 1e-13)
		}
	}
}

// BenchmarkTurned sets the fit and its variance of mouths of two rows, of which one
// coordinate is left, against those of three, of which two are: what the turn saves a mouth
// of two.
func BenchmarkTurned(b *testing.B) {
	for _, rows := range []int{2, 3} {
		rng, d, y := rand.New(rand.NewPCG(9, 4)), Design{Columns: make([]Column, 10)}, []float64{}
		for g := range 3000 {
			for range rows {
				for j := range d.Columns {
					d.Columns[j].Values = append(d.Columns[j].Values, rng.NormFloat64())
				}
				d.Cluster, d.Group = append(d.Cluster, g), append(d.Group, g)
				d.Weights, y = append(d.Weights, 0.5+rng.Float64()), append(y, rng.NormFloat64())
			}
		}
		cols, c := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, make([]float64, 10)
		c[9] = 1
		b.Run(fmt.Sprintf("%d rows", rows), func(b *testing.B) {
			for b.Loop() {
				f := blocksOf(b, d).Products(y).Fit(cols)
				l, _ := f.Coordinates(c)
				NewBlockSandwich(f).Gather([][]float64{l})
			}
		})
	}
}
