package decide

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// blockFields may be written once for a block of rows.
var blockFields = []columns.Field{columns.Case, columns.Practice, columns.Clinician, columns.Course, columns.Tooth}

// decideBlocks finds columns that are filled once a block and left blank below:
// the code of a case, and with it what belongs to the case. It is plain where no
// value stands in two rows in a row and most cells are blank; where it is not,
// the blanks are asked about.
func (r *File) decideBlocks(out *[]casebook.Problem) {
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind {
			continue
		}
		p := r.Plans[t]
		for _, f := range blockFields {
			col := t.Find(f)
			if col == 0 || f != columns.Case && f != columns.Tooth && len(p.Blocks) == 0 {
				continue
			}
			if f == columns.Course && p.Course.Initial {
				continue // a blank has a meaning of its own
			}
			b := blocksOf(t, col)
			if b.blank == 0 || b.filled < 2 && f == columns.Case || f == columns.Tooth && (len(p.Blocks) == 0 || b.repeats > 0) {
				continue
			}
			if f != columns.Case || b.plain() || r.askBlocks(t, col, b) {
				p.Blocks = append(p.Blocks, f)
				if f != columns.Case && f != columns.Practice && endsWithCase(t, col) {
					p.Within = append(p.Within, f)
				}
				q := inSheet(t, rules.New(rules.LayoutAssumed, "blank cells of the column repeat the cell above, %d of them", b.blank))
				q.Cell, q.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
				*out = append(*out, q)
			}
		}
		r.Plans[t] = p
	}
}

// endsWithCase reports a column that is filled in at least half of the rows in which a
// case begins: where it is blank there, the value of the case above is not its own. One
// that is filled in fewer stands once for several cases.
func endsWithCase(t *layout.Table, col int) bool {
	id := t.Find(columns.Case)
	begins, filled, last := 0, 0, ""
	amounts := amountsOf(t)
	for _, row := range t.Sheet.Rows {
		text := strings.TrimSpace(row.At(id).Text)
		if row.Number < t.Body || row.Broken || !planned(amounts, row) || text == "" || text == last {
			continue
		}
		last = text
		if begins++; row.At(col).Kind != sheet.Blank {
			filled++
		}
	}
	return 2*filled >= begins
}

// blockCells counts the cells of a column in rows that hold a record.
type blockCells struct {
	filled, blank int
	repeats       int // cells that repeat the one of the row before
}

// plain reports a column that is certainly written once a block.
func (b blockCells) plain() bool { return b.repeats == 0 && b.blank >= b.filled }

func blocksOf(t *layout.Table, col int) blockCells {
	var b blockCells
	amounts, tooth := amountsOf(t), t.Find(columns.Tooth)
	last := ""
	for _, row := range t.Sheet.Rows {
		text := strings.TrimSpace(row.At(col).Text)
		// A tooth without a planned movement may have the code of those below.
		named := text != "" && row.At(tooth).Kind != sheet.Blank
		if row.Number < t.Body || row.Broken || !planned(amounts, row) && !named {
			continue
		}
		switch {
		case text == "":
			b.blank++
			last = ""
		case text == last:
			b.repeats++
			b.filled++
		default:
			b.filled++
			last = text
		}
	}
	return b
}

func (r *File) askBlocks(t *layout.Table, col int, b blockCells) bool {
	if b.blank < rareWord || b.repeats > 0 && b.blank*4 < b.filled {
		return false // a code was forgotten here and there: each row says so
	}
	q := ofColumn("blank case", rules.ValueMissing, t, col)
	q.Text = "rows without a case code stand below rows with one: do they belong to the case above?"
	q.Choices = []question.Choice{
		{Word: "above", Text: "a blank repeats the code above", Count: b.blank},
		{Word: "reject", Text: "no, the code was forgotten; the rows are left out", Count: b.blank},
	}
	q.Proposed = "above"
	return r.Asker.Ask(q) == "above"
}
