package sqlstore

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// A record has many columns of few values each. They are read as one number, so that half
// as much travels from a server, and half as many values are handled of a file.

const (
	// codeBits hold one code: 0 for NULL, 1 for what the column should not hold, and
	// firstCode more than a number of the column.
	codeBits  = 6
	firstCode = 2
	// mostCoded is the largest number of such a column, and codesAtOnce fit into 63 bits.
	mostCoded   = 1<<codeBits - 1 - firstCode
	codesAtOnce = 63 / codeBits
)

// coded is an expression for the codes of the words of a column.
func (v vocabulary[E]) coded(column string) string {
	var b strings.Builder
	b.WriteString("CASE " + column)
	for _, w := range slices.Sorted(maps.Keys(v)) {
		fmt.Fprintf(&b, " WHEN '%s' THEN %d", strings.ReplaceAll(w, "'", "''"), int(v[w])+firstCode)
	}
	fmt.Fprintf(&b, " ELSE CASE WHEN %s IS NULL THEN 0 ELSE 1 END END", column)
	return b.String()
}

// codedNumber is the same for a column of small whole numbers.
func codedNumber(column string) string {
	return fmt.Sprintf("CASE WHEN %[1]s BETWEEN 0 AND %[2]d THEN %[1]s + %[3]d WHEN %[1]s IS NULL THEN 0 ELSE 1 END", column, mostCoded, firstCode)
}

// selection is how columns are read: some as they are, some by their codes in one number,
// some not at all, since others tell them.
type selection struct {
	own   []int // columns as they are
	codes []int // columns in the number, which comes last
	list  string
}

func (t *table[T, K]) selection(columns []string) *selection {
	s := &selection{}
	var read, codes []string
	for i, c := range columns {
		code, ok := t.codes[c]
		switch {
		case ok && len(codes) < codesAtOnce:
			s.codes, codes = append(s.codes, i), append(codes, code)
		case !slices.Contains(t.told, c):
			s.own, read = append(s.own, i), append(read, c)
		}
	}
	if len(codes) > 0 {
		number := "CAST(" + codes[0] + " AS BIGINT)"
		for _, c := range codes[1:] {
			number = fmt.Sprintf("(%s) * %d + (%s)", number, 1<<codeBits, c)
		}
		read = append(read, number)
	}
	s.list = strings.Join(read, ", ")
	return s
}

// wrongCode stands for what a column should not hold; no field takes it.
const wrongCode = "?"

// spread puts a row that was read into the places of its columns.
func (s *selection) spread(row, values []any) error {
	for k, i := range s.own {
		values[i] = row[k]
	}
	if len(s.codes) == 0 {
		return nil
	}
	number, ok := row[len(row)-1].(int64)
	if !ok {
		return fmt.Errorf("codes of columns are %T", row[len(row)-1])
	}
	for k := len(s.codes) - 1; k >= 0; k-- {
		i := s.codes[k]
		switch code := number & (1<<codeBits - 1); code {
		case 0:
			values[i] = nil
		case 1:
			values[i] = wrongCode
		default:
			values[i] = code - firstCode
		}
		number >>= codeBits
	}
	return nil
}
