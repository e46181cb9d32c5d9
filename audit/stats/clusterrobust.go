package stats

// sandwich is a cluster-robust variance in coordinates of T.
type sandwich interface {
	// meat is the p x p covariance in coordinates of T: the variance of c'b
	// is l'Al with l = L'c.
	meat() []float64
	// working is the variance of l'T'y under the working covariance.
	working(l []float64) float64
	// moments gives, for contrasts with coordinates l (q of them), the
	// expectation of the q x q variance under the working covariance and what
	// the spread of that variance is made of.
	moments(l [][]float64) moments
}

// plainSandwich has the identity (on weighted rows, 1/weight) as working
// covariance. With N_g = T_g'T_g and t_g = T_g'e_g,
//
//	(I - H_gg)^(-1/2) T_g = T_g (I - N_g)^(-1/2),
//
// because H_gg = T_g T_g', so only p x p matrices are met.
type plainSandwich struct {
	o        *orthonormal
	clusters clustering
	kind     Variance
	n        []float64 // cached N_g, m of p x p; nil where that is too much memory
	a        []float64
}

// cacheLimit bounds the numbers kept between calls (32 MB).
const cacheLimit = 1 << 22

func newPlainSandwich(o *orthonormal, clusters clustering, kind Variance) *plainSandwich {
	s := &plainSandwich{o: o, clusters: clusters, kind: kind, a: make([]float64, o.p*o.p)}
	p := o.p
	if clusters.count() < o.n && clusters.count()*p*p <= cacheLimit {
		s.n = make([]float64, clusters.count()*p*p)
	}
	h := make([]float64, p)
	f := newAdjuster(p, kind, clusters.count())
	s.visit(true, func(n, t []float64) {
		f.apply(n, t, h)
		addOuter(1, h, s.a)
	})
	mirror(p, s.a)
	return s
}

func (s *plainSandwich) meat() []float64 { return s.a }

func (s *plainSandwich) working(l []float64) float64 { return dot(l, l) }

// visit calls f once a cluster with N_g and, where fill is set, T_g'e_g.
func (s *plainSandwich) visit(fill bool, f func(n, t []float64)) {
	p := s.o.p
	row, t, own := make([]float64, p), make([]float64, p), make([]float64, p*p)
	for g := range s.clusters.count() {
		from, to := s.clusters.start[g], s.clusters.start[g+1]
		n := own
		if s.n != nil {
			n = s.n[g*p*p : (g+1)*p*p]
		}
		if s.n != nil && !fill {
			f(n, nil)
			continue
		}
		clear(t)
		clear(n)
		for k := from; k < to; k++ {
			i := s.clusters.row(k)
			s.o.row(i, row)
			addOuter(1, row, n)
			if fill {
				axpy(s.o.resid[i]*s.o.weightRoot(i), row, t)
			}
		}
		mirror(p, n)
		f(n, t)
	}
}

// moments by Bell & McCaffrey (2002). With a_g = F_g l and b_g = N_g a_g,
// O_gh = delta_gh a_g'b_g - b_g'b_h.
func (s *plainSandwich) moments(l [][]float64) moments {
	p, q := s.o.p, len(l)
	acc := newMomentSum(p, q, nil)
	f := newAdjuster(p, s.kind, s.clusters.count())
	a, b, own := make([]float64, q*p), make([]float64, q*p), make([]float64, q*q)
	s.visit(false, func(n, _ []float64) {
		for k := range q {
			f.apply(n, l[k], a[k*p:(k+1)*p])
			symVec(n, a[k*p:(k+1)*p], b[k*p:(k+1)*p])
		}
		for i := range q {
			for j := range q {
				own[i*q+j] = dot(a[i*p:(i+1)*p], b[j*p:(j+1)*p])
			}
		}
		acc.add(own, b)
	})
	return acc.sum()
}
