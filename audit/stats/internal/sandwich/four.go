package sandwich

import "math"

// lanes are the rows up to which a cluster is worked on in registers: most patients have no
// more teeth that move one way in one course (see BenchmarkFour).
const lanes = 4

// four is a sparse cluster of up to four rows: its columns one after the other, zeros
// behind its rows, and H_g of four rows.
type four struct {
	x []float64
	h [lanes * lanes]float64
}

func (f *four) load(v *view) {
	f.x = resize(f.x, lanes*len(v.x))
	clear(f.x)
	for c, x := range v.x {
		copy(f.x[c*lanes:(c+1)*lanes], x)
	}
}

// hats fills H_g = X_gMX_g', row by row of M, and the matrix of the view.
func (f *four) hats(m []float64, v *view) {
	h := &f.h
	*h = [lanes * lanes]float64{}
	for c, a := range v.kept {
		row := m[a*v.p : (a+1)*v.p]
		var z0, z1, z2, z3 float64
		for d, b := range v.kept[:c] {
			w, x := row[b], f.x[d*lanes:d*lanes+lanes:d*lanes+lanes]
			z0, z1, z2, z3 = z0+w*x[0], z1+w*x[1], z2+w*x[2], z3+w*x[3]
		}
		x, w := f.x[c*lanes:c*lanes+lanes:c*lanes+lanes], row[a]/2 // the other half comes with the transpose
		z0, z1, z2, z3 = z0+w*x[0], z1+w*x[1], z2+w*x[2], z3+w*x[3]
		for r, by := range x {
			to := h[r*lanes : r*lanes+lanes : r*lanes+lanes]
			to[0], to[1], to[2], to[3] = to[0]+by*z0, to[1]+by*z1, to[2]+by*z2, to[3]+by*z3
		}
	}
	for r := range lanes {
		for s := range r + 1 {
			sum := h[r*lanes+s] + h[s*lanes+r]
			h[r*lanes+s], h[s*lanes+r] = sum, sum
		}
	}
	for r := range v.k {
		copy(v.n[r*v.k:(r+1)*v.k], h[r*lanes:r*lanes+v.k])
	}
}

// see writes X_gw to what the view sees.
func (f *four) see(w []float64, v *view) {
	var u [lanes]float64
	for c, a := range v.kept {
		by, x := w[a], f.x[c*lanes:c*lanes+lanes:c*lanes+lanes]
		u[0], u[1], u[2], u[3] = u[0]+by*x[0], u[1]+by*x[1], u[2]+by*x[2], u[3]+by*x[3]
	}
	copy(v.seen, u[:])
}

// adjust is the series of adjuster for what the view sees.
func (f *four) adjust(v *view, q []float64) {
	var term, sum [lanes]float64
	copy(term[:], v.seen)
	sum = term
	norm, size, h := 0.0, 1.0, &f.h
	for _, x := range h {
		norm += x * x
	}
	norm = math.Sqrt(norm)
	for k := 1.0; size > 1e-17; k++ {
		by := (2*k - 1) / (2 * k)
		t0, t1, t2, t3 := by*term[0], by*term[1], by*term[2], by*term[3]
		for r := range lanes {
			term[r] = h[r*lanes]*t0 + h[r*lanes+1]*t1 + h[r*lanes+2]*t2 + h[r*lanes+3]*t3
			sum[r] += term[r]
		}
		size *= norm
	}
	copy(q, sum[:])
}

// back writes X_g'q into z.
func (f *four) back(q, z []float64) {
	var y [lanes]float64
	copy(y[:], q)
	for c := range z {
		x := f.x[c*lanes : c*lanes+lanes : c*lanes+lanes]
		z[c] = x[0]*y[0] + x[1]*y[1] + x[2]*y[2] + x[3]*y[3]
	}
}
