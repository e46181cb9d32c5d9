package ingest

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// plan is how the rows of one table are read.
type plan struct {
	// sizes: amounts carry no sign, directions are in words.
	sizes bool
	// sizeOnly: amounts carry no sign and nothing gives directions.
	sizeOnly bool
	// plusMeant: amounts without a direction are positive, not without a sign.
	plusMeant bool
	// alongPlan: achieved amounts carry no sign and go the way that was planned.
	alongPlan bool
	// fraction: stated percentages are written as 0.62.
	fraction bool
	// percent says what stated percentages are where nothing was measured:
	// "achieved", "missing" or "leave"; "" where achieved amounts stand beside them.
	percent string
	// unsigned: positions lack their signs, and nothing can be computed from them.
	unsigned bool
	planned  string // "movement" or "end position"
	achieved string // "movement", "residual", "excess" or "end position"
	course   numbering
	style    styling
	// composed: the tooth is a number beside its quadrant, or its arch and side.
	composed bool
	// blocks are the fields whose blank cells repeat the cell above.
	blocks []columns.Field
}

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
	r.repeatDittos(&out)
	r.takeSigns(&out)
	r.decideToothDates()
	r.decideDecimal(m.File.Decimal)
	r.readLegend()
	for _, t := range r.tables {
		p := plan{planned: m.File.Planned, achieved: m.File.Achieved}
		p.composed = composed(t)
		r.outcome(t, &p, &out)
		r.saysScales(t, &out)
		p.fraction = r.fraction(t, m.File.Percent, &out)
		r.plans[t] = p
	}
	r.decideBlocks(&out)
	r.decideNotation(m, &out)
	r.decideWords(m)
	r.decideView(&out)
	r.decideCourses(&out)
	r.decideSigns(m, &out)
	r.decideDirections()
	r.decideTeeth()
	r.decideStyles(m, &out)
	r.decideMissing(&out)
	r.decideDates(&out)
	for i := range out {
		out[i].File = r.book.File.Name
	}
	return out
}

// saysScales says where a header names another unit than mm or degrees.
func (r *reader) saysScales(t *layout.Table, out *[]casebook.Problem) {
	for _, c := range t.Columns {
		if c.Scale.Is1() || c.Scale.Num == 0 || c.Field == columns.NoField {
			continue
		}
		p := inSheet(t, rules.New(rules.LayoutAssumed, "the header names another unit; amounts were multiplied by %d/%d", c.Scale.Num, c.Scale.Den))
		p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
		*out = append(*out, p)
	}
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

// outcome settles what stands for the achieved movement where nothing is
// declared. A residual and a position can be meant in two ways, so only the
// plain name "residual" is taken at its word.
func (r *reader) outcome(t *layout.Table, p *plan, out *[]casebook.Problem) {
	if t.Kind != casebook.MovementKind {
		return
	}
	if p.planned == "" {
		p.planned = t.PlannedAs
	}
	if p.achieved == "" {
		p.achieved = t.AchievedAs
	}
	has := func(f columns.Field) (int, bool) {
		if len(t.Pairs) > 0 && t.Pairs[0].Cols[f] > 0 {
			return t.Pairs[0].Cols[f], true
		}
		return t.Find(f), t.Has(f)
	}
	if col, ok := has(columns.Achieved); ok || p.achieved != "" {
		if ok && p.achieved == "" && r.noted(t, col) {
			p.achieved = r.askNoted(t, col)
		}
		return
	}
	if col, ok := has(columns.Residual); ok {
		p.achieved = "residual"
		if c, _ := t.ColumnAt(col); !c.Canonical && !c.Declared && !c.Shared {
			p.achieved = r.askResidual(t, col)
		}
		return
	}
	if col, ok := has(columns.EndPosition); ok {
		p.achieved = "end position"
		if p.planned == "" {
			q := inSheet(t, rules.New(rules.ColumnAmbiguous, "with end positions, the planned column may hold movements or positions"))
			q.Cell, q.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
			q.Remedy = "Declare achieved = \"end position\", and planned = \"movement\" or \"end position\", in a mapping file"
			*out = append(*out, q)
		}
		return
	}
	if col, ok := has(columns.StatedPercent); ok {
		p.percent = r.askPercent(t, col, out)
	}
}

func (r *reader) askResidual(t *layout.Table, col int) string {
	word := r.asker.Ask(question.Question{
		ID: "residual", Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, col), Column: t.HeaderOf(col),
		Text: "is the column what was left of the plan, what went beyond it, or the achieved movement itself?",
		Choices: []question.Choice{
			{Word: "residual", Text: "planned minus achieved: what was left to do"},
			{Word: "excess", Text: "achieved minus planned"},
			{Word: "achieved", Text: "the achieved movement itself: position after minus position before"},
		},
		Proposed: "residual",
	})
	if word == "" {
		return "residual"
	}
	return word
}

func (r *reader) askPercent(t *layout.Table, col int, out *[]casebook.Problem) string {
	word := r.asker.Ask(question.Question{
		ID: "percent", Rule: string(rules.PercentOnly), Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, col), Column: t.HeaderOf(col),
		Text: "the sheet states percentages and no achieved amounts: what are they percentages of?",
		Choices: []question.Choice{
			{Word: "achieved", Text: "the share of the planned amount that was achieved; kept as stated, apart from measured amounts"},
			{Word: "missing", Text: "the share of the planned amount that was still missing; kept as 100 less that"},
			{Word: "leave", Text: "something else; they are not read"},
		},
		Proposed: "achieved",
	})
	if word != "" {
		p := inSheet(t, rules.New(rules.PercentOnly, "the sheet states percentages and no achieved amounts; its movements count as not measured, and the percentages have a table of their own"))
		p.Cell, p.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
		*out = append(*out, p)
	}
	return word
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
