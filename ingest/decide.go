package ingest

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// plan is how the amounts of one table are read.
type plan struct {
	// sizes: amounts carry no sign, directions are in words.
	sizes bool
	// sizeOnly: amounts carry no sign and nothing gives directions.
	sizeOnly bool
	// fraction: stated percentages are written as 0.62.
	fraction bool
	planned  string // "movement" or "end position"
	achieved string // "movement", "residual" or "end position"
}

// smallestEvidence is the fewest planned amounts, none of them negative, that
// make a table look as if it recorded sizes without directions.
const smallestEvidence = 20

// decide settles for the whole file what single cells leave open.
func (r *reader) decide() []casebook.Problem {
	var out []casebook.Problem
	m := r.o.Mapping
	if m == nil {
		m = &mapping.File{}
	}
	for _, c := range m.Missing.Codes {
		r.missing[strings.ToLower(strings.TrimSpace(c))] = true
	}
	switch m.File.Dates {
	case "day first":
		r.dates = values.DayFirst
	case "month first":
		r.dates = values.MonthFirst
	}
	r.decideDecimal(m.File.Decimal)
	for _, t := range r.tables {
		r.plans[t] = r.planOf(t, m, &out)
	}
	r.decideNotation(m, &out)
	for i := range out {
		out[i].File = r.book.File.Name
	}
	return out
}

// eachCell calls f with every cell of a column below the header; the example
// row of the template is no evidence.
func eachCell(t *layout.Table, col int, f func(row int, c sheet.Cell)) {
	id := t.Find(columns.Case)
	for _, row := range t.Sheet.Rows {
		if row.Number < t.Body || row.Broken || isExample(row.At(id)) {
			continue
		}
		if c := row.At(col); c.Kind != sheet.Blank {
			f(row.Number, c)
		}
	}
}

// amountColumns lists the columns of a table that hold amounts.
func amountColumns(t *layout.Table) []int {
	var out []int
	for _, c := range t.Columns {
		if d, ok := columns.Find(t.Kind, c.Field); ok && (d.Type == columns.Amount || d.Type == columns.Percent) {
			out = append(out, c.Col)
		}
	}
	return out
}

func (r *reader) decideDecimal(declared string) {
	if declared != "" {
		r.decimal = values.Decimal(declared[0])
		return
	}
	var e values.Evidence
	for _, t := range r.tables {
		for _, col := range amountColumns(t) {
			eachCell(t, col, func(_ int, c sheet.Cell) {
				if c.Kind == sheet.String {
					e.Note(c.Text)
				}
			})
		}
	}
	r.decimal = e.Decimal()
}

// notationNames as a sentence writes them.
var notationNames = map[casebook.Notation]string{
	casebook.FDI: "FDI", casebook.Universal: "Universal", casebook.Palmer: "Palmer",
}

func (r *reader) decideNotation(m *mapping.File, out *[]casebook.Problem) {
	if r.notation = r.o.Notation; r.notation != casebook.NoNotation {
		return
	}
	if m.File.Notation != "" {
		r.notation, _ = casebook.ParseNotation(m.File.Notation)
		return
	}
	var n values.Notations
	var first *casebook.Problem
	note := func(t *layout.Table, row, col int, text string) {
		n.Note(values.ParseTooth(text))
		if first == nil {
			p := rules.New(rules.NotationAsk, "the teeth of the file are valid in two notations, or in different ones")
			p.Sheet, p.Cell, p.Column = t.Sheet.Name, sheet.Ref(row, col), t.HeaderOf(col)
			first = &p
		}
	}
	for _, t := range r.tables {
		if col := t.Find(columns.Tooth); col > 0 {
			eachCell(t, col, func(row int, c sheet.Cell) { note(t, row, col, c.Text) })
		}
		for _, p := range t.Pairs {
			if p.Tooth != "" {
				note(t, t.Header, p.Cols[columns.Planned], p.Tooth)
			}
		}
	}
	r.notation = n.Decide()
	switch {
	case n.Teeth == 0: // no tooth at all: each cell is reported where it is read
		r.notation = casebook.FDI
	case r.notation == casebook.NoNotation:
		*out = append(*out, *first)
	default:
		p := rules.New(rules.NotationAssumed, "teeth are read in %s notation", notationNames[r.notation])
		*out = append(*out, p)
	}
}

// planOf settles whether amounts are signed, and what stands for achieved.
func (r *reader) planOf(t *layout.Table, m *mapping.File, out *[]casebook.Problem) plan {
	p := plan{planned: m.File.Planned, achieved: m.File.Achieved}
	if t.Kind != casebook.MovementKind {
		return p
	}
	if p.achieved == "" {
		r.outcome(t, &p, out)
	}
	p.fraction = r.fraction(t, m.File.Percent, out)
	amounts, negative, worded := signs(t, r.decimal)
	words := worded || t.Has(columns.Direction) || directed(t)
	switch {
	case m.File.Amounts == "sizes":
		p.sizes, p.sizeOnly = true, !words
	case m.File.Amounts == "signed":
	case negative > 0:
	case words:
		p.sizes = true
		*out = append(*out, inSheet(t, rules.New(rules.LayoutAssumed, "no planned amount is negative and directions are given in words, so amounts were read as sizes")))
	case amounts >= smallestEvidence:
		p.sizeOnly = true
		*out = append(*out, inSheet(t, rules.New(rules.SizeOnly, "none of %d planned amounts is negative and nothing gives directions", amounts)))
	}
	return p
}

// outcome settles what stands for the achieved movement where nothing is
// declared. A residual and a position can be meant in two ways, so only the
// plain name "residual" is taken at its word.
func (r *reader) outcome(t *layout.Table, p *plan, out *[]casebook.Problem) {
	has := func(f columns.Field) (int, bool) {
		if len(t.Pairs) > 0 && t.Pairs[0].Cols[f] > 0 {
			return t.Pairs[0].Cols[f], true
		}
		return t.Find(f), t.Has(f)
	}
	if _, ok := has(columns.Achieved); ok {
		return
	}
	refuse := func(col int, message, remedy string) {
		q := inSheet(t, rules.New(rules.ColumnAmbiguous, "%s", message))
		q.Cell, q.Column, q.Remedy = sheet.Ref(t.Header, col), t.HeaderOf(col), remedy
		*out = append(*out, q)
	}
	if col, ok := has(columns.Residual); ok {
		p.achieved = "residual"
		if c, _ := t.ColumnAt(col); !c.Canonical && !c.Declared && !c.Shared {
			refuse(col, "the column may be planned minus achieved, or achieved minus planned",
				"If it is planned minus achieved, declare achieved = \"residual\" in a mapping file")
		}
		return
	}
	if col, ok := has(columns.EndPosition); ok {
		p.achieved = "end position"
		if p.planned == "" {
			refuse(col, "with end positions, the planned column may hold movements or positions",
				"Declare achieved = \"end position\", and planned = \"movement\" or \"end position\", in a mapping file")
		}
	}
}

// fraction settles whether stated percentages are written as 0.62: declared, or
// where every one of at least three is at most 2 in size.
func (r *reader) fraction(t *layout.Table, declared string, out *[]casebook.Problem) bool {
	col := t.Find(columns.StatedPercent)
	if declared != "" || col == 0 {
		return declared == "fraction"
	}
	n, small := 0, true
	eachCell(t, col, func(_ int, c sheet.Cell) {
		a, err := values.ParseAmount(c.Text, r.decimal)
		if c.Kind == sheet.Number {
			a, err = values.StoredNumber(c.Text)
		}
		if err != nil {
			return
		}
		n++
		small = small && !c.Percent && !a.Percent && a.Value <= 2 && a.Value >= -2
	})
	if n < 3 || !small {
		return false
	}
	p := inSheet(t, rules.New(rules.LayoutAssumed, "the stated percentages are all small and were read as fractions"))
	p.Cell, p.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
	*out = append(*out, p)
	return true
}

func inSheet(t *layout.Table, p casebook.Problem) casebook.Problem {
	p.Sheet = t.Sheet.Name
	return p
}

// signs counts the planned amounts of a table, how many are negative, and
// whether any names a direction beside the number.
func signs(t *layout.Table, dec values.Decimal) (amounts, negative int, worded bool) {
	cols := []int{}
	if w, ok := t.Twins(columns.Planned); ok {
		cols = append(cols, w.Millimetre, w.Degree)
	} else if col := t.Find(columns.Planned); col > 0 {
		cols = append(cols, col)
	}
	for _, p := range t.Pairs {
		cols = append(cols, p.Cols[columns.Planned])
	}
	for _, col := range cols {
		eachCell(t, col, func(_ int, c sheet.Cell) {
			switch c.Kind {
			case sheet.Number:
				amounts++
				if strings.HasPrefix(c.Text, "-") {
					negative++
				}
			case sheet.String:
				if a, err := values.ParseAmount(c.Text, dec); err == nil {
					amounts++
					if a.Value < 0 {
						negative++
					}
					worded = worded || a.Word != ""
				}
			}
		})
	}
	return amounts, negative, worded
}

// directed reports directions in the headers of a wide sheet or in the words
// of the axis column.
func directed(t *layout.Table) bool {
	for _, p := range t.Pairs {
		if p.Direction != casebook.NoDirection {
			return true
		}
	}
	found := false
	if col := t.Find(columns.Axis); col > 0 {
		seen := map[string]bool{}
		eachCell(t, col, func(_ int, c sheet.Cell) {
			if found || seen[c.Text] {
				return
			}
			seen[c.Text] = true
			_, d, err := values.ParseAxis(c.Text)
			found = err == nil && d != casebook.NoDirection
		})
	}
	return found
}
