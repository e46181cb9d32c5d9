package numeric

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// SmallEigen is the size up to which Jacobi rotations beat a call into the
// library (see BenchmarkEigen).
const SmallEigen = 4

// Eigen decomposes the symmetric d x d matrix a into values and vectors (the
// columns of vec); a is overwritten. Small ones by cyclic Jacobi rotations
// (Golub & Van Loan 2013, Matrix Computations, 4th ed., section 8.5.2), which
// need no memory. NaN where the library fails, which it does not for finite
// numbers.
func Eigen(a []float64, d int, values, vec []float64) {
	if d > SmallEigen {
		v, vectors, ok := SymmetricEigen(a, d)
		if !ok {
			Scale(math.NaN(), values)
			return
		}
		copy(values, v)
		for i := range d {
			for k := range d {
				vec[i*d+k] = vectors.At(i, k)
			}
		}
		return
	}
	jacobi(a, d, vec)
	for i := range d {
		values[i] = a[i*d+i]
	}
}

// jacobi turns a diagonal and collects the rotations in vec. Convergence is
// quadratic; the sweeps allowed are many more than any matrix needs.
func jacobi(a []float64, d int, vec []float64) {
	clear(vec)
	for i := range d {
		vec[i*d+i] = 1
	}
	for range 60 {
		off, size := 0.0, 0.0
		for i := range d {
			for j := range d {
				size += a[i*d+j] * a[i*d+j]
				if i != j {
					off += a[i*d+j] * a[i*d+j]
				}
			}
		}
		if !(off > 1e-32*size) {
			return
		}
		for i := range d {
			for j := i + 1; j < d; j++ {
				if a[i*d+j] != 0 {
					rotate(a, vec, d, i, j)
				}
			}
		}
	}
}

// rotate zeroes a[i,j].
func rotate(a, vec []float64, d, i, j int) {
	tau := (a[j*d+j] - a[i*d+i]) / (2 * a[i*d+j])
	t := math.Copysign(1/(math.Abs(tau)+math.Sqrt(1+tau*tau)), tau)
	c := 1 / math.Sqrt(1+t*t)
	s := t * c
	for k := range d {
		x, y := a[k*d+i], a[k*d+j]
		a[k*d+i], a[k*d+j] = c*x-s*y, s*x+c*y
		x, y = vec[k*d+i], vec[k*d+j]
		vec[k*d+i], vec[k*d+j] = c*x-s*y, s*x+c*y
	}
	for k := range d {
		x, y := a[i*d+k], a[j*d+k]
		a[i*d+k], a[j*d+k] = c*x-s*y, s*x+c*y
	}
	a[i*d+j], a[j*d+i] = 0, 0
}

// SymmetricEigen decomposes a k x k symmetric matrix.
func SymmetricEigen(h []float64, k int) (values []float64, vectors *mat.Dense, ok bool) {
	var e mat.EigenSym
	if !e.Factorize(mat.NewSymDense(k, slices.Clone(h)), true) {
		return nil, nil, false
	}
	vectors = &mat.Dense{}
	e.VectorsTo(vectors)
	return e.Values(nil), vectors, true
}
