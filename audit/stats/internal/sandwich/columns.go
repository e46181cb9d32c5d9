package sandwich

import (
	"fmt"
	"math"

	"shortfall/audit/stats/internal/bycase"
)

// Column is one of a design: Values, or ones where there are none, among the rows whose
// code is Code, and zero among the others; among all rows where there are no Codes. The
// indicators of the words of a covariate share its Codes, so that a design has them
// without having them written out.
type Column struct {
	Values []float64
	Codes  []int32 // small and not negative
	Code   int32
}

// At is the value of row i.
func (c *Column) At(i int) float64 {
	switch {
	case c.Codes != nil && c.Codes[i] != c.Code:
		return 0
	case c.Values == nil:
		return 1
	}
	return c.Values[i]
}

// marks say which columns can vary within which groups, and how large they are.
type marks struct {
	b     *Blocks
	where []int // index in a column of each place
	words int   // of a set of columns
	sets  []int // a bit a column, by run
	size  []float64
}

// wordBits are the bits of a word of a set.
const wordBits = 64

// mark looks at all columns. An error names the column of a value that is not finite.
func (b *Blocks) mark(d Design, name func(column int) string) (*marks, error) {
	m := &marks{b: b, where: b.where(d.Rows), words: (b.Width + wordBits - 1) / wordBits, size: make([]float64, b.Width)}
	m.sets = d.Arena.Ints(b.Groups() * m.words)
	sizes, coded := map[*float64]float64{}, map[*int32][]int{} // by Values; columns by Codes
	var order [][]int32
	for j, c := range d.Columns {
		m.size[j] = 1
		if c.Values != nil {
			size, known := sizes[&c.Values[0]]
			if !known || c.Codes == nil {
				bad := -1
				if size, bad = m.number(c.Values, j, c.Codes == nil); bad >= 0 {
					return nil, bycase.OutOfRange(fmt.Sprintf("row %d, column %q", b.Row(bad), name(j)), c.Values[m.where[bad]])
				}
			}
			m.size[j], sizes[&c.Values[0]] = size, size
		}
		if c.Codes != nil {
			coded[&c.Codes[0]] = append(coded[&c.Codes[0]], j)
			if len(coded[&c.Codes[0]]) == 1 {
				order = append(order, c.Codes)
			}
		}
	}
	for _, codes := range order {
		m.coded(codes, coded[&codes[0]], d.Columns)
	}
	return m, nil
}

// set says that column j can vary within group r.
func (m *marks) set(r, j int) { m.sets[r*m.words+j/wordBits] |= 1 << (j % wordBits) }

// of is a word of the set of columns that can vary within group r.
func (m *marks) of(r, word int) uint64 { return uint64(m.sets[r*m.words+word]) }

// either is that of any group of cluster g.
func (m *marks) either(g, word int) (set uint64) {
	for r := m.b.first[g]; r < m.b.first[g+1]; r++ {
		set |= m.of(r, word)
	}
	return set
}

// number gives the largest size of values and, where they are those of column j, marks
// the groups within which it is not constant; bad is the place of a value that is out of
// range, -1 for none.
func (m *marks) number(values []float64, j int, own bool) (size float64, bad int) {
	for r := range m.b.Groups() {
		from, rows := m.b.runs[r], m.where[m.b.runs[r]:m.b.runs[r+1]]
		first, differ := values[rows[0]], false
		for k, i := range rows {
			v := values[i]
			differ = differ || v != first
			if v = math.Abs(v); !(v <= size) {
				if size = v; !bycase.InRange(v) {
					return size, from + k
				}
			}
		}
		if differ && own {
			m.set(r, j)
		}
	}
	return size, -1
}

// coded marks columns that share codes: of the codes of a group that has several, and,
// where they have values of their own, of the code of any.
func (m *marks) coded(codes []int32, which []int, columns []Column) {
	var of [][]int // columns by code
	for _, j := range which {
		for int(columns[j].Code) >= len(of) {
			of = append(of, nil)
		}
		of[columns[j].Code] = append(of[columns[j].Code], j)
	}
	for r := range m.b.Groups() {
		rows := m.where[m.b.runs[r]:m.b.runs[r+1]]
		first, differ := codes[rows[0]], false
		for k := 1; k < len(rows) && !differ; k++ {
			differ = codes[rows[k]] != first
		}
		if !differ {
			rows = rows[:1]
		}
		for _, i := range rows {
			code := codes[i]
			if int(code) >= len(of) {
				continue
			}
			for _, j := range of[code] {
				if differ || columns[j].Values != nil {
					m.set(r, j)
				}
			}
		}
	}
}
