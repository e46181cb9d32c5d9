package sandwich

import (
	"shortfall/audit/stats/internal/numeric"
)

// block is one cluster of a PlainSandwich: its k rows of T, and the smaller of
// H_g = T_gT_g' (few) and N_g = T_g'T_g.
type block struct {
	p, k int
	rows []float64 // k x p
	n    []float64 // k x k or p x p
	u    []float64 // scratch
}

func newBlock(p int) *block {
	return &block{p: p, n: make([]float64, p*p), u: make([]float64, p)}
}

// few rows: work in their own dimension is cheaper.
func (b *block) few() bool { return b.k <= b.p }

// size of the matrix that is met.
func (b *block) size() int { return min(b.k, b.p) }

func (b *block) row(k int) []float64 { return b.rows[k*b.p : (k+1)*b.p] }

// products fills H_g or N_g.
func (b *block) products() {
	d := b.size()
	n := b.n[:d*d]
	if !b.few() {
		clear(n)
		k := 0
		for ; k+4 <= b.k; k += 4 {
			numeric.AddOuter4(&numeric.Ones, numeric.Quarters(b.rows[k*b.p:], b.p), n)
		}
		for ; k < b.k; k++ {
			numeric.AddOuter(1, b.row(k), n)
		}
		numeric.Mirror(d, n)
		return
	}
	for i := range d {
		for j := range i + 1 {
			v := numeric.Dot(b.row(i), b.row(j))
			n[i*d+j], n[j*d+i] = v, v
		}
	}
}

// along writes T_g x into out.
func (b *block) along(x, out []float64) {
	for k := range b.k {
		out[k] = numeric.Dot(b.row(k), x)
	}
}

// back adds T_g'x to out.
func (b *block) back(x, out []float64) {
	for k, v := range x {
		numeric.Axpy(v, b.row(k), out)
	}
}

// contrast writes F T_g l = T_g F l into out.
func (b *block) contrast(f *adjuster, l, out []float64) {
	d := b.size()
	if b.few() {
		u := b.u[:d]
		b.along(l, u)
		f.apply(b.n[:d*d], u, out)
		return
	}
	f.apply(b.n[:d*d], l, b.u)
	b.along(b.u, out)
}

// score writes T_g'F e = F T_g'e into out.
func (b *block) score(f *adjuster, e, out []float64) {
	d := b.size()
	clear(out)
	if b.few() {
		u := b.u[:d]
		f.apply(b.n[:d*d], e, u)
		b.back(u, out)
		return
	}
	clear(b.u)
	b.back(e, b.u)
	f.apply(b.n[:d*d], b.u, out)
}

// gentle reports a matrix that is met small: the cluster is far from determining a direction.
func (b *block) gentle() bool {
	d := b.size()
	return numeric.Dot(b.n[:d*d], b.n[:d*d]) < seriesLimit*seriesLimit
}
