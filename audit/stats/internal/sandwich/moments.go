package sandwich

import (
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
	k    []float64   // d x d, symmetric; nil for the identity
	y    [][]float64 // of s <= t, the others are their transposes; nil where the mean alone is wanted
	m    moments
	pair []float64 // Z'KZ of one cluster
	kz   []float64
}

func newMomentSum(d, q int, k []float64) *momentSum {
	s := &momentSum{d: d, q: q, k: k, y: make([][]float64, q*q), pair: make([]float64, q*q), kz: make([]float64, q*d)}
	for i := range s.y {
		s.y[i] = make([]float64, d*d)
	}
	s.m = moments{mean: make([]float64, q*q), spread: make([]float64, q*q), cross: make([]float64, q*q)}
	return s
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
	for i := range q {
		for j := range q {
			s.pair[i*q+j] = numeric.Dot(z[i*d:(i+1)*d], kz[j*d:(j+1)*d])
			switch {
			case s.y == nil || i > j:
			case i == j: // symmetric: half of it, see sum
				numeric.AddOuter(1, z[i*d:(i+1)*d], s.y[i*q+j])
			default:
				y := s.y[i*q+j]
				for r, v := range z[i*d : (i+1)*d] {
					numeric.Axpy(v, z[j*d:(j+1)*d], y[r*d:(r+1)*d])
				}
			}
		}
	}
	w := s.pair
	for i := range q {
		for j := range q {
			ij, ji, ii, jj := i*q+j, j*q+i, i*q+i, j*q+j
			s.m.mean[ij] += own[ij] - w[ij]
			s.m.spread[ij] += own[ii]*own[jj] - own[ii]*w[jj] - w[ii]*own[jj]
			s.m.cross[ij] += own[ij]*own[ji] - own[ij]*w[ji] - w[ij]*own[ji]
		}
	}
}

// sum adds the pairs of clusters: <Y_st, K Y_st K> and <Y_st, K Y_ts K>.
func (s *momentSum) sum() moments {
	q := s.q
	for i := range q {
		numeric.Mirror(s.d, s.y[i*q+i])
		for j := range i {
			transpose(s.d, s.y[j*q+i], s.y[i*q+j])
		}
	}
	for i := range q {
		for j := range q {
			s.m.spread[i*q+j] += numeric.Dot(s.y[i*q+j], s.both(s.y[i*q+j]))
			s.m.cross[i*q+j] += numeric.Dot(s.y[i*q+j], s.both(s.y[j*q+i]))
		}
	}
	return s.m
}

// transpose writes the transpose of the d x d matrix m into out.
func transpose(d int, m, out []float64) {
	for i := range d {
		for j := range d {
			out[j*d+i] = m[i*d+j]
		}
	}
}

func (s *momentSum) both(y []float64) []float64 {
	if s.k == nil {
		return y
	}
	d := s.d
	return numeric.MatMul(d, numeric.MatMul(d, s.k, y), s.k)
}
