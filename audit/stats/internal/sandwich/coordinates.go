package sandwich

// What blocks are summed by: coordinates of m columns, one after the other, two at a time, so
// that each sum is loaded and stored once for both. Most clusters have one or two (see
// BenchmarkTurned).

// addProducts adds the products of the columns to those of row-major g, q wide, each pair once:
// under the column that stands first.
func addProducts(cols []int32, x []float64, q int, g []float64) {
	m := len(cols)
	if m == 0 {
		return
	}
	for ; len(x) >= 2*m; x = x[2*m:] {
		addTwo(cols, x[:m], x[m:2*m], q, g)
	}
	if len(x) > 0 {
		addOne(cols, x, q, g)
	}
}

// addOne is addProducts of one coordinate.
func addOne(cols []int32, x []float64, q int, g []float64) {
	x = x[:len(cols)]
	for c, j := range cols {
		if a := x[c]; a != 0 {
			row, rest := g[int(j)*q:(int(j)+1)*q], x[c:]
			for d, k := range cols[c:] {
				row[k] += a * rest[d]
			}
		}
	}
}

// addTwo is addProducts of two.
func addTwo(cols []int32, x, y []float64, q int, g []float64) {
	x, y = x[:len(cols)], y[:len(cols)]
	for c, j := range cols {
		if a, b := x[c], y[c]; a != 0 || b != 0 {
			row, first, second := g[int(j)*q:(int(j)+1)*q], x[c:], y[c:]
			for d, k := range cols[c:] {
				row[k] += a*first[d] + b*second[d]
			}
		}
	}
}

// addTo adds the products of the columns with y, one a coordinate, to those by column.
func addTo(cols []int32, x, y, sums []float64) {
	m := len(cols)
	for k, v := range y {
		row := x[k*m : (k+1)*m]
		for c, j := range cols {
			sums[j] += v * row[c]
		}
	}
}

// subtract writes y less the columns times what by gives each, one a coordinate.
func subtract(cols []int32, x, y, by, out []float64) {
	m := len(cols)
	for k, v := range y {
		row := x[k*m : (k+1)*m]
		for c, j := range cols {
			v -= by[j] * row[c]
		}
		out[k] = v
	}
}

// halfOne writes xM of one coordinate of the columns numbered cols, M being symmetric and p
// wide, of which the part above the diagonal and half of that are left out. With its
// transpose that gives xMx', half of which is returned.
func halfOne(cols []int32, x, m []float64, p int, out []float64) (half float64) {
	x, out = x[:len(cols)], out[:len(cols)]
	for c, a := range cols {
		row, v := m[int(a)*p:(int(a)+1)*p], x[c]
		z := row[a] / 2 * v
		for d, b := range cols[:c] {
			z += row[b] * x[d]
		}
		out[c] = z
		half += v * z
	}
	return half
}

// halfTwo is halfOne of two.
func halfTwo(cols []int32, x, m []float64, p int, out []float64) {
	n := len(cols)
	first, second := x[:n], x[n:2*n]
	for c, a := range cols {
		row := m[int(a)*p : (int(a)+1)*p]
		v := row[a] / 2
		z, u := v*first[c], v*second[c]
		for d, b := range cols[:c] {
			v = row[b]
			z, u = z+v*first[d], u+v*second[d]
		}
		out[c], out[n+c] = z, u
	}
}
