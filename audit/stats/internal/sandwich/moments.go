package sandwich

import (
	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// moments of the quadratic form sum_g d_g d_g' under the working covariance,
// where d_g are q-vectors with cov(d_g, d_h) = O_gh.
type moments struct {
	mean []float64 // sum_g O_gg, q x q
	// spread[s*q+t] = sum_gh O_gh[s,s] O_gh[t,t] and cross the same of
	// O_gh[s,t] O_gh[t,s]: Var(D_st) is their sum.
	spread, cross []float64
}

// satterthwaite is 2 E(v)^2 / Var(v) of the first contrast (Bell & McCaffrey
// 2002, equation 4.2).
func (m moments) satterthwaite() float64 { return m.mean[0] * m.mean[0] / m.spread[0] }

// momentSum gathers the moments cluster by cluster for
// O_gh = delta_gh own_g - Z_g'K Z_h, with q-column matrices Z_g of d rows.
// Sums over all pairs of clusters fold into Y_st = sum_g z_gs z_gt', so the
// cost is linear in clusters.
type momentSum struct {
	d, q int
	k    []float64 // d x d, symmetric; nil for the identity
	// y is the upper triangle of the blocks Y_st, qd x qd; four clusters wait to be added.
	y, waiting []float64
	clusters   []float64 // own_g and Z_g'KZ_g, q x q each, cluster after cluster
	kz         []float64
}

func newMomentSum(d, q, clusters int, k []float64, a *stats.Arena) *momentSum {
	return &momentSum{
		d: d, q: q, k: k, y: make([]float64, q*d*q*d), waiting: make([]float64, 0, 4*q*d),
		clusters: a.Room(clusters * 2 * q * q)[:0], kz: make([]float64, q*d),
	}
}

// add takes own (q x q) and Z' (q rows of d) of one cluster.
func (s *momentSum) add(own, z []float64) {
	d, q := s.d, s.q
	kz := z
	if s.k != nil {
		for i := range q {
			numeric.SymVec(s.k, z[i*d:(i+1)*d], s.kz[i*d:(i+1)*d])
		}
		kz = s.kz
	}
	s.clusters = append(s.clusters, own...)
	for i := range q {
		for j := range q {
			s.clusters = append(s.clusters, numeric.Dot(z[i*d:(i+1)*d], kz[j*d:(j+1)*d]))
		}
	}
	if s.waiting = append(s.waiting, z...); len(s.waiting) == cap(s.waiting) {
		s.addWaiting()
	}
}

// addWaiting adds z z' of the clusters that wait.
func (s *momentSum) addWaiting() {
	n := s.q * s.d
	w := s.waiting[:4*n]
	clear(w[len(s.waiting):])
	numeric.AddOuter4(&numeric.Ones, numeric.Quarters(w, n), s.y)
	s.waiting = s.waiting[:0]
}

// mean of the moments.
func (s *momentSum) mean() []float64 {
	size := s.q * s.q
	out := make([]float64, size)
	for at := 0; at < len(s.clusters); at += 2 * size {
		for i := range out {
			out[i] += s.clusters[at+i] - s.clusters[at+size+i]
		}
	}
	return out
}

// moments of the contrasts by'l, by having q columns; nil: of the contrasts themselves.
// The pairs of clusters add <Y_st, K Y_st K> and <Y_st, K Y_ts K>.
func (s *momentSum) moments(by []float64) moments {
	q := s.q
	s.addWaiting()
	m := moments{mean: make([]float64, q*q), spread: make([]float64, q*q), cross: make([]float64, q*q)}
	scratch := make([]float64, 3*q*q)
	own, pair, half := scratch[:q*q], scratch[q*q:2*q*q], scratch[2*q*q:]
	for at := 0; at < len(s.clusters); at += 2 * q * q {
		turn(q, by, s.clusters[at:at+q*q], half, own)
		turn(q, by, s.clusters[at+q*q:at+2*q*q], half, pair)
		m.add(q, own, pair)
	}
	y := s.blocks(by)
	for i := range q {
		for j := range q {
			m.spread[i*q+j] += numeric.Dot(y[i*q+j], s.both(y[i*q+j]))
			m.cross[i*q+j] += numeric.Dot(y[i*q+j], s.both(y[j*q+i]))
		}
	}
	return m
}

// add takes what one cluster gives by itself: O_gg = own - w.
func (m moments) add(q int, own, w []float64) {
	for i := range q {
		for j := range q {
			ij, ji, ii, jj := i*q+j, j*q+i, i*q+i, j*q+j
			m.mean[ij] += own[ij] - w[ij]
			m.spread[ij] += own[ii]*own[jj] - own[ii]*w[jj] - w[ii]*own[jj]
			m.cross[ij] += own[ij]*own[ji] - own[ij]*w[ji] - w[ij]*own[ji]
		}
	}
}

// turn writes by'm by into out, m itself where by is nil; half is scratch.
func turn(q int, by, m, half, out []float64) {
	if by == nil {
		copy(out, m)
		return
	}
	clear(half)
	clear(out)
	for i := range q {
		for k := range q {
			numeric.Axpy(m[i*q+k], by[k*q:(k+1)*q], half[i*q:(i+1)*q])
		}
	}
	for k := range q {
		for i := range q {
			numeric.Axpy(by[k*q+i], half[k*q:(k+1)*q], out[i*q:(i+1)*q])
		}
	}
}

// blocks are Y_st of the contrasts by'l.
func (s *momentSum) blocks(by []float64) [][]float64 {
	q, d := s.q, s.d
	n := q * d
	numeric.Mirror(n, s.y)
	out := make([][]float64, q*q)
	for i := range q {
		for j := range q {
			y := make([]float64, d*d)
			for a := range q {
				for b := range q {
					w := weightOf(q, by, a, i) * weightOf(q, by, b, j)
					if w == 0 {
						continue
					}
					for r := range d {
						numeric.Axpy(w, s.y[(a*d+r)*n+b*d:(a*d+r)*n+(b+1)*d], y[r*d:(r+1)*d])
					}
				}
			}
			out[i*q+j] = y
		}
	}
	return out
}

// weightOf is by[a,i], of the identity where by is nil.
func weightOf(q int, by []float64, a, i int) float64 {
	switch {
	case by != nil:
		return by[a*q+i]
	case a == i:
		return 1
	}
	return 0
}

// both is K Y K.
func (s *momentSum) both(y []float64) []float64 {
	if s.k == nil {
		return y
	}
	d := s.d
	return numeric.MatMul(d, numeric.MatMul(d, s.k, y), s.k)
}
