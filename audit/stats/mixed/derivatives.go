package mixed

import (
	"shortfall/audit/stats/internal/numeric"
)

// mixedDerivatives are the parts of derivatives of the criterion in the
// parameters (residual variance, then the distinct elements of the random
// effects' covariance), in which V is linear: V = s2 I + sum_i d_i Z E_i Z',
// so G_0 = I and G_i = Z E_i Z'. With U = [T, e]:
//
//	p[i]  = U'V^-1 G_i V^-1 U
//	q[ij] = U'V^-1 G_i V^-1 G_j V^-1 U
//
// (Kenward & Roger 1997, Biometrics 53:983-997, P_i = -p[i] and Q_ij there).
type mixedDerivatives struct {
	k      int // parameters
	p      [][]float64
	q      [][]float64
	trace  []float64 // tr V^-1 G_i
	trace2 []float64 // tr V^-1 G_i V^-1 G_j, k x k
	cov    []float64 // (T'V^-1T)^-1, p x p
	a      []float64 // U a = residuals of the generalised least-squares fit
}

// basis are the matrices E_i, r x r.
func (s *mixedSums) basis() [][]float64 {
	if s.r == 1 {
		return [][]float64{{1}}
	}
	return [][]float64{{1, 0, 0, 0}, {0, 1, 1, 0}, {0, 0, 0, 1}}
}

// groupTerms are the r-sized quantities of one group; with F = I - W Z'Z,
// V^-1 Z = Z F / s2.
type groupTerms struct {
	w, ws    []float64 // W, W Z'Z
	m1, m2   []float64 // Z'V^-1Z, Z'V^-2Z
	k1, k2   []float64 // Z'V^-1U, Z'V^-2U
	wh       []float64 // W Z'U
	work, xt []float64
}

func (s *mixedSums) derivatives(pt mixedPoint) mixedDerivatives {
	p, r := s.o.P, s.r
	u := p + 1
	e := s.basis()
	k := 1 + len(e)
	d := mixedDerivatives{k: k, trace: make([]float64, k), trace2: make([]float64, k*k)}
	for range k {
		d.p = append(d.p, make([]float64, u*u))
	}
	for range k * k {
		d.q = append(d.q, make([]float64, u*u))
	}
	c := 1 / pt.sigma2
	l := ratioFactor(r, pt.d, pt.sigma2)
	t := newGroupTerms(r, u)
	// u1, u2, u3 = U'V^-kU: start from U'U and subtract what Woodbury takes away.
	u1, u2, u3 := make([]float64, u*u), make([]float64, u*u), make([]float64, u*u)
	d.trace[0], d.trace2[0] = c*float64(s.n), c*c*float64(s.n)
	for g := range s.m {
		zz, zu := s.zz[g*r*r:(g+1)*r*r], s.zu[g*r*u:(g+1)*r*u]
		t.fill(r, u, c, l, zz, zu)
		addProduct(r, u, -c, zu, t.wh, u1)
		transProduct(r, u, t.w, t.k1, t.work)
		addProduct(r, u, -c, zu, t.work, u2)
		transProduct(r, u, t.w, t.k2, t.work)
		addProduct(r, u, -c, zu, t.work, u3)
		ws := t.ws
		for a := range r {
			d.trace[0] -= c * ws[a*r+a]
			d.trace2[0] -= 2 * c * c * ws[a*r+a]
			for b := range r {
				d.trace2[0] += c * c * ws[a*r+b] * ws[b*r+a]
			}
		}
		for i, ei := range e {
			d.addGroup(r, u, i+1, ei, e, t)
		}
	}
	for i := range p {
		u1[i*u+i] += c
	}
	u1[p*u+p] += c * s.o.RSS
	numeric.Axpy(c, u1, u2)
	numeric.Axpy(c, u2, u3)
	d.p[0], d.q[0] = u2, u3
	for i := 1; i < k; i++ { // q[i0] is the transpose of q[0i]
		transposeInto(u, d.q[i], d.q[i*k])
		d.trace2[i*k] = d.trace2[i]
	}
	d.finish(s, pt)
	return d
}

func (d *mixedDerivatives) finish(s *mixedSums, pt mixedPoint) {
	d.cov = pt.info.Inverse()
	numeric.Scale(pt.sigma2, d.cov)
	d.a = make([]float64, s.o.P+1)
	for i, v := range pt.gamma {
		d.a[i] = -v
	}
	d.a[s.o.P] = 1
}

func newGroupTerms(r, u int) *groupTerms {
	small, wide := func() []float64 { return make([]float64, r*r) }, func() []float64 { return make([]float64, r*u) }
	return &groupTerms{small(), small(), small(), small(), wide(), wide(), wide(), wide(), small()}
}

func (t *groupTerms) fill(r, u int, c float64, l, zz, zu []float64) {
	woodbury(r, l, zz, t.w)
	t.ws = matMulInto(r, t.w, zz, t.ws)
	f := t.xt // I - W Z'Z
	for i := range f {
		f[i] = -t.ws[i]
	}
	for a := range r {
		f[a*r+a]++
	}
	matMulInto(r, zz, f, t.m1)
	matMulInto(r, t.m1, f, t.m2)
	numeric.Scale(c, t.m1)
	numeric.Scale(c*c, t.m2)
	transProduct(r, u, f, zu, t.k1) // F'Z'U
	numeric.Scale(c, t.k1)
	transProduct(r, u, f, t.k1, t.k2)
	numeric.Scale(c, t.k2)
	transProduct(r, u, t.w, zu, t.wh)
}

// addGroup adds what one group gives to parameter i >= 1.
func (d *mixedDerivatives) addGroup(r, u, i int, ei []float64, e [][]float64, t *groupTerms) {
	k := d.k
	me := matMulInto(r, t.m1, ei, make([]float64, r*r)) // Z'V^-1Z E_i
	for a := range r {
		d.trace[i] += me[a*r+a]
		for b := range r {
			d.trace2[i] += t.m2[a*r+b] * ei[b*r+a]
		}
	}
	transProduct(r, u, ei, t.k1, t.work)
	addProduct(r, u, 1, t.k1, t.work, d.p[i])
	addProduct(r, u, 1, t.k2, t.work, d.q[i]) // U'V^-2 G_i V^-1U
	for j, ej := range e {
		mj := matMulInto(r, t.m1, ej, make([]float64, r*r))
		for a := range r {
			for b := range r {
				d.trace2[i*k+j+1] += me[a*r+b] * mj[b*r+a]
			}
		}
		eme := matMulInto(r, ei, mj, make([]float64, r*r)) // E_i Z'V^-1Z E_j
		for a := range r {
			for b := range r {
				if v := eme[a*r+b]; v != 0 {
					for x := range u {
						numeric.Axpy(v*t.k1[a*u+x], t.k1[b*u:(b+1)*u], d.q[i*k+j+1][x*u:(x+1)*u])
					}
				}
			}
		}
	}
}

// woodbury writes W = L (I + L'SL)^-1 L' into w.
func woodbury(r int, l, s, w []float64) {
	if r == 1 {
		w[0] = l[0] * l[0] / (1 + l[0]*l[0]*s[0])
		return
	}
	// M = I + L'SL with L = [l0 0; l1 l2].
	u0, u1 := l[0]*s[0]+l[1]*s[1], l[0]*s[1]+l[1]*s[3]
	m00, m01, m11 := 1+l[0]*u0+l[1]*u1, l[2]*u1, 1+l[2]*l[2]*s[3]
	det := m00*m11 - m01*m01
	i00, i01, i11 := m11/det, -m01/det, m00/det
	// L M^-1 L'
	a0, a1 := l[0]*i00, l[0]*i01
	b0, b1 := l[1]*i00+l[2]*i01, l[1]*i01+l[2]*i11
	w[0], w[1] = a0*l[0], a0*l[1]+a1*l[2]
	w[2], w[3] = w[1], b0*l[1]+b1*l[2]
}

func matMulInto(d int, a, b, out []float64) []float64 {
	for i := range d {
		for j := range d {
			v := 0.0
			for k := range d {
				v += a[i*d+k] * b[k*d+j]
			}
			out[i*d+j] = v
		}
	}
	return out
}

// transProduct writes A'B into out, A r x r and B r x u.
func transProduct(r, u int, a, b, out []float64) {
	clear(out)
	for i := range r {
		for k := range r {
			numeric.Axpy(a[k*r+i], b[k*u:(k+1)*u], out[i*u:(i+1)*u])
		}
	}
}

// addProduct adds s A'B to the u x u matrix out, A and B r x u.
func addProduct(r, u int, s float64, a, b, out []float64) {
	for k := range r {
		for x := range u {
			if v := s * a[k*u+x]; v != 0 {
				numeric.Axpy(v, b[k*u:(k+1)*u], out[x*u:(x+1)*u])
			}
		}
	}
}

func transposeInto(u int, a, out []float64) {
	for i := range u {
		for j := range u {
			out[j*u+i] = a[i*u+j]
		}
	}
}
