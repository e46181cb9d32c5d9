package sandwich

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// Blocks are a design less the weighted means of its groups, times the root of its
// weights: for each cluster a block of its rows and of the columns that vary within one
// of its groups, which in a mouth of a few teeth are a handful of forty. All else of
// the cluster is zero, and no work is spent on it (see BenchmarkBlocks). Rows stand in order
// of clusters, within them of groups; that order is their place.
type Blocks struct {
	Width int
	Start []int     // places of cluster g: Start[g] <= k < Start[g+1]
	order []int     // row at each place; nil: as they come
	runs  []int     // first place of each group, and the end
	first []int     // run with which each cluster begins, and the end
	root  []float64 // of the weight, by place; nil: ones
	share []float64 // of each place in the weight of its group
	total []float64 // weight of each group

	cols   []int32 // of one cluster after the other
	col    []int   // where those of a cluster begin, and the end
	at     []int   // where its values begin, and the end
	values []float64
	arena  *stats.Arena
}

// leastWithin is the share of a column's largest value that must be left of it within a
// group for it to vary there at all; below it is rounding.
const leastWithin = 1e-10

// Design is what Blocks are made of.
type Design struct {
	Columns [][]float64 // in order of precedence
	Rows    []int       // of Columns, one for each of the design; nil: all as they come
	// Cluster and Group of each row: a group lies within one cluster, 0..m-1 each.
	Cluster, Group []int
	Weights        []float64 // positive; nil: ones
	Arena          *stats.Arena
}

// NewBlocks takes the group means out. An error where a value is not finite.
func NewBlocks(d Design, name func(column int) string) (*Blocks, error) {
	b := &Blocks{Width: len(d.Columns), arena: d.Arena}
	b.arrange(d)
	b.weigh(d)
	where := b.where(d.Rows)
	size := make([]float64, b.Width)
	words := (b.Width + wordBits - 1) / wordBits
	varies := d.Arena.Ints((len(b.runs) - 1) * words) // a bit a column, by run
	for j, values := range d.Columns {
		bad := -1
		if size[j], bad = b.vary(values, where, varies, words, j); bad >= 0 {
			return nil, bycase.OutOfRange(fmt.Sprintf("row %d, column %q", b.Row(bad), name(j)), at(values, where, bad))
		}
	}
	b.fill(d, where, size, varies, words)
	return b, nil
}

// wordBits are the bits of a word of a set of columns.
const wordBits = 64

// Rows is the number of rows, Clusters and Groups what they fall into.
func (b *Blocks) Rows() int { return b.Start[len(b.Start)-1] }

// Clusters is the number of clusters.
func (b *Blocks) Clusters() int { return len(b.Start) - 1 }

// Groups is the number of groups.
func (b *Blocks) Groups() int { return len(b.runs) - 1 }

// Row is the row at a place.
func (b *Blocks) Row(place int) int {
	if b.order == nil {
		return place
	}
	return b.order[place]
}

// arrange orders rows by cluster and group.
func (b *Blocks) arrange(d Design) {
	n := len(d.Group)
	c := NewClustering(n, d.Cluster)
	b.Start, b.order = c.Start, c.order
	for g := range b.Clusters() {
		from, to := b.Start[g], b.Start[g+1]
		sorted := true
		for k := from + 1; k < to && sorted; k++ {
			sorted = d.Group[b.Row(k-1)] <= d.Group[b.Row(k)]
		}
		if sorted {
			continue
		}
		if b.order == nil {
			b.order = make([]int, n)
			for k := range b.order {
				b.order[k] = k
			}
		}
		slices.SortStableFunc(b.order[from:to], func(i, j int) int { return d.Group[i] - d.Group[j] })
	}
	b.runs, b.first = make([]int, 0, n/2+1), make([]int, 0, len(b.Start))
	for g := range b.Clusters() {
		b.first = append(b.first, len(b.runs))
		for k := b.Start[g]; k < b.Start[g+1]; k++ {
			if k == b.Start[g] || d.Group[b.Row(k)] != d.Group[b.Row(k-1)] {
				b.runs = append(b.runs, k)
			}
		}
	}
	b.first, b.runs = append(b.first, len(b.runs)), append(b.runs, n)
}

// weigh fills weights by place.
func (b *Blocks) weigh(d Design) {
	n := b.Rows()
	b.share, b.total = d.Arena.Room(n), d.Arena.Room(b.Groups())
	if d.Weights != nil {
		b.root = d.Arena.Room(n)
	}
	for r := range b.Groups() {
		from, to := b.runs[r], b.runs[r+1]
		sum := 0.0
		for k := from; k < to; k++ {
			w := bycase.At(d.Weights, b.Row(k))
			if b.share[k] = w; b.root != nil {
				b.root[k] = math.Sqrt(w)
			}
			sum += w
		}
		for k := from; k < to; k++ {
			b.share[k] /= sum
		}
		b.total[r] = sum
	}
}

// where is the index in a column of each place; nil: the place itself.
func (b *Blocks) where(rows []int) []int {
	if rows == nil || b.order == nil {
		if rows == nil {
			return b.order
		}
		return rows
	}
	out := b.arena.Ints(len(rows))
	for k, i := range b.order {
		out[k] = rows[i]
	}
	return out
}

func at(values []float64, where []int, place int) float64 {
	if where == nil {
		return values[place]
	}
	return values[where[place]]
}

// vary marks the groups within which column j is not constant, and gives its largest
// size; bad is the place of a value that is out of range, -1 for none.
func (b *Blocks) vary(values []float64, where, varies []int, words, j int) (size float64, bad int) {
	word, bit := j/wordBits, 1<<(j%wordBits)
	for r := range b.Groups() {
		first := at(values, where, b.runs[r])
		differ := false
		for k := b.runs[r]; k < b.runs[r+1]; k++ {
			v := at(values, where, k)
			differ = differ || v != first
			if v = math.Abs(v); !(v <= size) {
				if size = v; !bycase.InRange(v) {
					return size, k
				}
			}
		}
		if differ {
			varies[r*words+word] |= bit
		}
	}
	return size, -1
}

// fill writes the blocks.
func (b *Blocks) fill(d Design, where []int, size []float64, varies []int, words int) {
	room, columns := 0, 0
	either := make([]int, words)
	each := func(visit func(g int)) {
		for g := range b.Clusters() {
			clear(either)
			for r := b.first[g]; r < b.first[g+1]; r++ {
				for w := range words {
					either[w] |= varies[r*words+w]
				}
			}
			visit(g)
		}
	}
	each(func(g int) {
		for _, w := range either {
			columns += bits.OnesCount64(uint64(w))
			room += bits.OnesCount64(uint64(w)) * (b.Start[g+1] - b.Start[g])
		}
	})
	b.cols, b.values = make([]int32, 0, columns), d.Arena.Room(room)[:0]
	b.col, b.at = make([]int, 1, len(b.Start)), make([]int, 1, len(b.Start))
	each(func(g int) {
		for w, set := range either {
			for left := uint64(set); left != 0; left &= left - 1 {
				j := w*wordBits + bits.TrailingZeros64(left)
				if b.column(g, d.Columns[j], where, leastWithin*size[j], func(r int) bool {
					return varies[r*words+w]&int(left&-left) != 0
				}) {
					b.cols = append(b.cols, int32(j))
				}
			}
		}
		b.col, b.at = append(b.col, len(b.cols)), append(b.at, len(b.values))
	})
}

// column appends the values of a column in a cluster; false, and nothing, where no more
// than least of it is left.
func (b *Blocks) column(g int, values []float64, where []int, least float64, varies func(r int) bool) bool {
	before, start := len(b.values), b.Start[g]
	out := b.values[before : before+b.Start[g+1]-start]
	clear(out)
	any := false
	for r := b.first[g]; r < b.first[g+1]; r++ {
		if !varies(r) {
			continue
		}
		from, to := b.runs[r], b.runs[r+1]
		v := out[from-start : to-start]
		for k := range v {
			v[k] = at(values, where, from+k)
		}
		if b.centre(v, from) <= least {
			clear(v)
			continue
		}
		b.weight(v, from)
		any = true
	}
	if any {
		b.values = b.values[:before+len(out)]
	}
	return any
}

// centre takes its weighted mean from a group, a second time for what rounding left, so
// that no digits are lost. The largest that is left is returned.
func (b *Blocks) centre(v []float64, from int) (left float64) {
	share := b.share[from : from+len(v)]
	for range 2 {
		mean := numeric.Dot(share, v)
		left = 0
		for k := range v {
			v[k] -= mean
			left = max(left, math.Abs(v[k]))
		}
	}
	return left
}

// weight multiplies values from a place on by the roots of their weights.
func (b *Blocks) weight(v []float64, from int) {
	if b.root != nil {
		for k, w := range b.root[from : from+len(v)] {
			v[k] *= w
		}
	}
}

// Outcome is y, one a row, by place: less its group means, times the root of its weight.
func (b *Blocks) Outcome(y []float64) []float64 {
	out := b.arena.Room(len(y))
	size, left := 0.0, 0.0
	for k := range out {
		out[k] = y[b.Row(k)]
		size = max(size, math.Abs(out[k]))
	}
	for r := range b.Groups() {
		left = max(left, b.centre(out[b.runs[r]:b.runs[r+1]], b.runs[r]))
	}
	if left <= leastWithin*size {
		clear(out)
		return out
	}
	b.weight(out, 0)
	return out
}

// Among are the blocks of some of the clusters, in their order, and their rows.
func (b *Blocks) Among(clusters []int) (some *Blocks, rows []int) {
	out := &Blocks{Width: b.Width, Start: []int{0}, first: []int{0}, col: []int{0}, at: []int{0}, arena: b.arena}
	for _, g := range clusters {
		from, to := b.Start[g], b.Start[g+1]
		for k := from; k < to; k++ {
			rows = append(rows, b.Row(k))
		}
		for r := b.first[g]; r < b.first[g+1]; r++ {
			out.runs = append(out.runs, out.Rows()+b.runs[r]-from)
		}
		out.total = append(out.total, b.total[b.first[g]:b.first[g+1]]...)
		out.share = append(out.share, b.share[from:to]...)
		if b.root != nil {
			out.root = append(out.root, b.root[from:to]...)
		}
		out.cols = append(out.cols, b.cols[b.col[g]:b.col[g+1]]...)
		out.values = append(out.values, b.values[b.at[g]:b.at[g+1]]...)
		out.Start, out.first = append(out.Start, out.Rows()+to-from), append(out.first, len(out.runs))
		out.col, out.at = append(out.col, len(out.cols)), append(out.at, len(out.values))
	}
	out.runs = append(out.runs, out.Rows())
	return out, rows
}

// block is cluster g: its columns, their values one column after the other, and its
// first place.
func (b *Blocks) block(g int) (cols []int32, values []float64, from, rows int) {
	return b.cols[b.col[g]:b.col[g+1]], b.values[b.at[g]:b.at[g+1]], b.Start[g], b.Start[g+1] - b.Start[g]
}
