package sandwich

import (
	"math"
	"math/bits"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
)

// Blocks are a design less the weighted means of its groups, times the root of its
// weights: for each cluster a block of its rows and of the columns that vary within one
// of its groups, which in a mouth of a few teeth are a handful of forty. All else of
// the cluster is zero, and no work is spent on it (see BenchmarkBlocks). Rows stand in order
// of clusters, within them of groups; that order is their place.
//
// The rows of a group are turned so that the direction of the roots of its weights is the
// first: nothing of a column or of an outcome is left along it, and what is kept of n rows
// are n-1 coordinates. Fits and variances stay as they were, since lengths and angles do
// (see BenchmarkTurned).
type Blocks struct {
	Width int
	Start []int     // coordinates of cluster g: Start[g] <= k < Start[g+1]
	order []int     // row at each place; nil: as they come
	runs  []int     // first place of each group, and the end
	first []int     // run with which each cluster begins, and the end
	root  []float64 // of the weight, by place; nil: ones
	turn  []float64 // what the coordinates of a group are less of each place: see turned
	total []float64 // weight of each group

	cols   []int32 // of one cluster after the other
	held   []held  // by cluster
	values []float64
	arena  *stats.Arena
}

// held says where the columns of a cluster begin, how many they are, and where their
// values begin.
type held struct{ col, n, at int }

// leastWithin is the share of a column's largest value by which rows of a group must differ
// for it to vary there at all; below it is rounding.
const leastWithin = 1e-10

// Design is what Blocks are made of.
type Design struct {
	Columns []Column // in order of precedence
	Rows    []int    // of Columns, one for each of the design; nil: all as they come
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
	m, err := b.mark(d, name)
	if err != nil {
		return nil, err
	}
	b.fill(d, m)
	return b, nil
}

// Rows is the number of rows, Clusters and Groups what they fall into.
func (b *Blocks) Rows() int { return b.runs[len(b.runs)-1] }

// Size is the number of coordinates.
func (b *Blocks) Size() int { return b.Start[len(b.Start)-1] }

// Clusters is the number of clusters.
func (b *Blocks) Clusters() int { return len(b.Start) - 1 }

// Groups is the number of groups.
func (b *Blocks) Groups() int { return len(b.runs) - 1 }

// First is the first row of cluster g.
func (b *Blocks) First(g int) int { return b.Row(b.runs[b.first[g]]) }

// at is the first coordinate of group r: each group before it has one fewer than rows.
func (b *Blocks) at(r int) int { return b.runs[r] - r }

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
	b.runs, b.first = d.Arena.Places(n + 1)[:0], d.Arena.Places(len(b.Start))[:0]
	for g := range b.Clusters() {
		b.first = append(b.first, len(b.runs))
		for k := b.Start[g]; k < b.Start[g+1]; k++ {
			if k == b.Start[g] || d.Group[b.Row(k)] != d.Group[b.Row(k-1)] {
				b.runs = append(b.runs, k)
			}
		}
	}
	b.first, b.runs = append(b.first, len(b.runs)), append(b.runs, n)
	for g, r := range b.first { // from places to coordinates
		b.Start[g] = b.at(r)
	}
}

// weigh fills weights by place.
func (b *Blocks) weigh(d Design) {
	n := b.Rows()
	b.turn, b.total = d.Arena.Room(n), d.Arena.Room(b.Groups())
	if d.Weights != nil {
		b.root = d.Arena.Room(n)
	}
	for r := range b.Groups() {
		from, to := b.runs[r], b.runs[r+1]
		sum := 0.0
		for k := from; k < to; k++ {
			w := bycase.At(d.Weights, b.Row(k))
			if b.turn[k] = w; b.root != nil {
				b.root[k] = math.Sqrt(w)
			}
			sum += w
		}
		by := 1 / (sum + math.Sqrt(sum*b.turn[from]))
		for k := from; k < to; k++ {
			b.turn[k] *= by
		}
		b.total[r] = sum
	}
}

// where is the index in a column of each place.
func (b *Blocks) where(rows []int) []int {
	if rows != nil && b.order == nil {
		return rows
	}
	out := b.arena.Places(b.Rows())
	for k := range out {
		if out[k] = b.Row(k); rows != nil {
			out[k] = rows[out[k]]
		}
	}
	return out
}

// fill writes the blocks.
func (b *Blocks) fill(d Design, m *marks) {
	columns, room := b.room(m)
	b.cols, b.values = d.Arena.Codes(columns)[:0], d.Arena.Room(room)
	b.held = make([]held, b.Clusters())
	end := 0
	for g := range b.held {
		h := &b.held[g]
		h.col, h.at = len(b.cols), end
		for w := range m.words {
			for left := m.either(g, w); left != 0; left &= left - 1 {
				b.cols = append(b.cols, int32(w*wordBits+bits.TrailingZeros64(left)))
			}
		}
		h.n = len(b.cols) - h.col
		end += h.n * (b.Start[g+1] - b.Start[g])
		if b.first[g+1]-b.first[g] > 1 { // a column need not vary in all of them
			clear(b.values[h.at:end])
		}
		for r := b.first[g]; r < b.first[g+1]; r++ {
			b.group(d.Columns, m, g, r, b.values[h.at+(b.at(r)-b.Start[g])*h.n:])
		}
	}
}

// group writes the columns of group r, of cluster g.
func (b *Blocks) group(columns []Column, m *marks, g, r int, out []float64) {
	before := 0 // columns of the cluster in the words before
	for w := range m.words {
		all := m.either(g, w)
		for left := m.of(r, w); left != 0; left &= left - 1 {
			bit := bits.TrailingZeros64(left)
			j, at := w*wordBits+bit, before+bits.OnesCount64(all&(1<<bit-1))
			b.column(&columns[j], leastWithin*m.size[j], r, m, out[at:], b.held[g].n)
		}
		before += bits.OnesCount64(all)
	}
}

// room counts the columns of all clusters and their values.
func (b *Blocks) room(m *marks) (columns, values int) {
	for g := range b.Clusters() {
		for w := range m.words {
			n := bits.OnesCount64(m.either(g, w))
			columns, values = columns+n, values+n*(b.Start[g+1]-b.Start[g])
		}
	}
	return columns, values
}

// column writes the coordinates of a column in group r to every so many of out; nothing
// where its rows differ by no more than rounding, least.
func (b *Blocks) column(c *Column, least float64, r int, m *marks, out []float64, every int) {
	rows, left, at := m.where[b.runs[r]:b.runs[r+1]], 0.0, 0
	first := c.At(rows[0])
	for _, i := range rows[1:] {
		v := c.At(i) - first
		out[at] = v
		left, at = max(left, math.Abs(v)), at+every
	}
	if left > least {
		b.turned(r, out, every)
		return
	}
	for at -= every; at >= 0; at -= every {
		out[at] = 0
	}
}

// Among are the blocks of some of the clusters, in their order, and their rows. They share
// the values.
func (b *Blocks) Among(clusters []int) (some *Blocks, rows []int) {
	n, groups := 0, 0
	for _, g := range clusters {
		n, groups = n+b.runs[b.first[g+1]]-b.runs[b.first[g]], groups+b.first[g+1]-b.first[g]
	}
	floats := func(n int) []float64 { return b.arena.Room(n)[:0] }
	ints := func(n int) []int { return b.arena.Places(n)[:0] }
	out := &Blocks{
		Width: b.Width, Start: append(ints(len(clusters)+1), 0), runs: ints(groups + 1), first: append(ints(len(clusters)+1), 0),
		turn: floats(n), total: floats(groups), cols: b.cols, held: make([]held, 0, len(clusters)), values: b.values, arena: b.arena,
	}
	if b.root != nil {
		out.root = floats(n)
	}
	rows = ints(n)
	for _, g := range clusters {
		rows = out.append(b, g, rows)
	}
	out.runs = append(out.runs, n)
	return out, rows
}

// append takes over cluster g of others, and lists its rows.
func (b *Blocks) append(other *Blocks, g int, rows []int) []int {
	from, to, n := other.runs[other.first[g]], other.runs[other.first[g+1]], len(b.turn)
	for k := from; k < to; k++ {
		rows = append(rows, other.Row(k))
	}
	for r := other.first[g]; r < other.first[g+1]; r++ {
		b.runs = append(b.runs, n+other.runs[r]-from)
	}
	b.total = append(b.total, other.total[other.first[g]:other.first[g+1]]...)
	b.turn = append(b.turn, other.turn[from:to]...)
	if b.root != nil {
		b.root = append(b.root, other.root[from:to]...)
	}
	b.Start = append(b.Start, b.Size()+other.Start[g+1]-other.Start[g])
	b.first, b.held = append(b.first, len(b.runs)), append(b.held, other.held[g])
	return rows
}

// block is cluster g: its columns, their values one coordinate after the other, its
// first coordinate and how many they are.
func (b *Blocks) block(g int) (cols []int32, values []float64, from, rows int) {
	h := &b.held[g]
	from, rows = b.Start[g], b.Start[g+1]-b.Start[g]
	return b.cols[h.col : h.col+h.n], b.values[h.at : h.at+h.n*rows], from, rows
}
