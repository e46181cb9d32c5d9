package privacy

// Clean are the texts without a finding in the columns of a table, by number: a sheet
// says few things and each of them thousands of times, and what one column may hold
// another may not. Who gives the cells asks it too, before a cell is made of what is kept.
type Clean struct {
	columns []uint64 // of each text, a bit for each of the first columns
	kinds   []Kind   // of which kind the cells were
}

// bitColumns are those that have a bit.
const bitColumns = 64

// Has reports that a cell of a column says what one of the column said before, which was
// clean: the number of the text is the same, and so is the kind.
func (c *Clean) Has(col int, same uint32, k Kind) bool {
	n := int(same)
	return n > 0 && n < len(c.columns) && col <= bitColumns && c.columns[n]>>(col-1)&1 == 1 && c.kinds[n] == k
}

func (c *Clean) has(cell Cell) bool { return c.Has(cell.Col, cell.Same, cell.Kind) }

// note notes a cell without a finding. Of a text that stands in cells of several kinds
// those of the first are known again.
func (c *Clean) note(cell Cell) {
	n := int(cell.Same)
	if n == 0 || cell.Col > bitColumns {
		return
	}
	if n >= len(c.columns) {
		c.columns = append(c.columns, make([]uint64, n+1-len(c.columns))...)
		c.kinds = append(c.kinds, make([]Kind, n+1-len(c.kinds))...)
	}
	if c.columns[n] == 0 {
		c.kinds[n] = cell.Kind
	}
	if c.kinds[n] == cell.Kind {
		c.columns[n] |= 1 << (cell.Col - 1)
	}
}
