package blocks

import (
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// keyFields tell one movement from another.
var keyFields = []columns.Field{
	columns.Practice, columns.Case, columns.Course, columns.Tooth, columns.Quadrant, columns.Arch, columns.Side, columns.Axis, columns.Direction,
}

// fieldsOf gives the columns of a header row by field; nil where two columns
// have one field.
func (in *reader) fieldsOf(r sheet.Row) map[columns.Field]int {
	out, twice := in.fieldColumns(r)
	if len(twice) > 0 {
		return nil
	}
	return out
}

// fieldColumns gives the first column of each field of a header row, and the fields that
// two columns have.
func (in *reader) fieldColumns(r sheet.Row) (first map[columns.Field]int, twice map[columns.Field]bool) {
	first, twice = map[columns.Field]int{}, map[columns.Field]bool{}
	for _, c := range r.All() {
		switch f := in.named(text(c)); {
		case f == columns.NoField:
		case first[f] > 0:
			twice[f] = true
		default:
			first[f] = int(c.Col)
		}
	}
	return first, twice
}

// keyOf joins what tells the movement of a row.
func keyOf(r sheet.Row, fields map[columns.Field]int, of []columns.Field) string {
	var sb strings.Builder
	for _, f := range of {
		sb.WriteString(values.Key(strings.TrimSuffix(r.At(fields[f]).Text, ".0")) + "\x00")
	}
	return sb.String()
}

// long reads planned and achieved on rows of their own, told apart by a column of
// the words for them, with one column of amounts.
func (in *reader) long(s *sheet.Sheet) []*table {
	for i, r := range s.Rows[:min(len(s.Rows), 12)] {
		fields := in.fieldsOf(r)
		if fields[columns.Tooth] == 0 || fields[columns.Axis] == 0 && fields[columns.Direction] == 0 || r.Any(numeric) {
			continue
		}
		role, amount := in.roleColumn(s.Rows[i+1:], r), in.amountColumn(s.Rows[i+1:], r)
		if role == 0 || amount == 0 {
			return nil
		}
		return in.pairRows(s.Rows[i+1:], r, fields, role, amount)
	}
	return nil
}

// roleColumn finds the column that says of each row whether it was planned or
// achieved.
func (in *reader) roleColumn(rows []sheet.Row, head sheet.Row) int {
	for _, h := range head.All() {
		seen := map[columns.Field]int{}
		for _, r := range rows {
			if c := r.At(int(h.Col)); c.Kind == sheet.String && len(c.Text) <= longestHead {
				seen[in.named(text(c))]++
			} else if c.Kind != sheet.Blank {
				seen[columns.NoField]++
			}
		}
		if seen[columns.Planned] > 1 && seen[columns.Achieved] > 1 && len(seen) == 2 {
			return int(h.Col)
		}
	}
	return 0
}

// amountColumn finds the one column of numbers that is no tooth, course or code.
func (in *reader) amountColumn(rows []sheet.Row, head sheet.Row) int {
	found := 0
	for _, h := range head.All() {
		if f := in.named(text(h)); f != columns.NoField && f != columns.Planned {
			continue
		}
		filled, n := 0, 0
		for _, r := range rows {
			if c := r.At(int(h.Col)); c.Kind != sheet.Blank {
				filled++
				if numeric(c) {
					n++
				}
			}
		}
		if n == 0 || 10*n < 9*filled {
			continue
		}
		if found > 0 {
			return 0
		}
		found = int(h.Col)
	}
	return found
}

// pairRows joins the two rows of each movement; nil where one has more than two.
func (in *reader) pairRows(rows []sheet.Row, head sheet.Row, fields map[columns.Field]int, role, amount int) []*table {
	t := &table{how: "planned and achieved on rows of their own"}
	of := slices.DeleteFunc(slices.Clone(keyFields), func(f columns.Field) bool { return fields[f] == 0 })
	unit := unitOf(text(head.At(amount)))
	at := map[string]map[int]cell{}
	for _, r := range rows {
		what := r.At(role)
		if what.Kind == sheet.Blank {
			if r.Len() > 2 {
				return nil
			}
			continue
		}
		k := keyOf(r, fields, of)
		out := at[k]
		if out == nil {
			out = map[int]cell{}
			at[k] = out
			t.rows = append(t.rows, out)
		}
		for _, c := range cellsOf(r) {
			name, where := text(head.At(c.col)), place{nil, head.Number, c.col}
			if c.col == role || name == "" {
				continue
			}
			if c.col == amount {
				name, where = in.named(text(what)).String()+unit, place{nil, r.Number, role}
			}
			i := t.column(name, where)
			if _, twice := out[i]; twice && c.col == amount {
				return nil
			} else if !twice {
				out[i] = c
			}
		}
	}
	return []*table{t}
}

// unitOf keeps what stands in brackets behind a header.
func unitOf(head string) string {
	if i := strings.IndexAny(head, "(["); i >= 0 {
		return " " + head[i:]
	}
	return ""
}

// halves joins a sheet of plans with the sheet of their outcomes, which has its
// own order; nil unless every outcome has its plan.
func (in *reader) halves(plans, results *sheet.Sheet) *table {
	p, pf := in.half(plans, columns.Planned, columns.Achieved)
	q, qf := in.half(results, columns.Achieved, columns.Planned)
	if p < 0 || q < 0 {
		return nil
	}
	of := slices.DeleteFunc(slices.Clone(keyFields), func(f columns.Field) bool { return pf[f] == 0 || qf[f] == 0 })
	if !slices.Contains(of, columns.Case) || !slices.Contains(of, columns.Tooth) || !slices.Contains(of, columns.Axis) && !slices.Contains(of, columns.Direction) {
		return nil
	}
	outcome := map[string]cell{}
	for _, r := range results.Rows[q+1:] {
		k, c := keyOf(r, qf, of), r.At(qf[columns.Achieved])
		if _, twice := outcome[k]; twice {
			return nil
		}
		if r.At(qf[columns.Tooth]).Kind != sheet.Blank {
			outcome[k] = cell{c, place{results, r.Number, qf[columns.Achieved]}}
		}
	}
	t := &table{how: "plans and their outcomes on two sheets"}
	head := plans.Rows[p]
	for _, r := range plans.Rows[p+1:] {
		k := keyOf(r, pf, of)
		out := map[int]cell{}
		for _, c := range cellsOf(r) {
			if h := head.At(c.col); h.Kind == sheet.String {
				out[t.column(text(h), place{nil, head.Number, c.col})] = c
			}
		}
		i := t.column(text(results.Rows[q].At(qf[columns.Achieved])), place{results, results.Rows[q].Number, qf[columns.Achieved]})
		if c, ok := outcome[k]; ok && c.Kind != sheet.Blank {
			out[i] = c
		}
		delete(outcome, k)
		t.rows = append(t.rows, out)
	}
	if len(outcome) > 0 {
		return nil // an outcome without its plan, or two plans for one
	}
	return t
}

// half finds the header of a sheet that has one amount and not the other.
func (in *reader) half(s *sheet.Sheet, has, lacks columns.Field) (int, map[columns.Field]int) {
	for i, r := range s.Rows[:min(len(s.Rows), 12)] {
		if _, ok := in.header(r); !ok {
			continue
		}
		f := in.fieldsOf(r)
		if f == nil || f[has] == 0 || f[lacks] != 0 || f[columns.Case] == 0 || f[columns.Tooth] == 0 {
			return -1, nil
		}
		return i, f
	}
	return -1, nil
}
