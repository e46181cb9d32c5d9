package row

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// Notes gathers findings that do not reject a row, one problem for each rule
// and column, so that a column of text numbers is one line and not a thousand.
type Notes struct {
	at    map[noteKey]int
	items []note
	own   []casebook.Problem
	made  int // times that something was noted
}

type noteKey struct {
	rule rules.ID
	col  int
}

type note struct {
	noteKey
	t                  *layout.Table
	count, first, last int
}

// NewNotes begins with none.
func NewNotes() *Notes { return &Notes{at: map[noteKey]int{}} }

// Add counts one finding; col is 0 for a whole row.
func (n *Notes) Add(id rules.ID, t *layout.Table, col, row int) {
	n.made++
	k := noteKey{id, col}
	i, ok := n.at[k]
	if !ok {
		i = len(n.items)
		n.at[k] = i
		n.items = append(n.items, note{noteKey: k, t: t, first: row})
	}
	if n.items[i].count > 0 && n.items[i].last == row {
		return // a flat row reads its case for each of its records
	}
	n.items[i].count++
	n.items[i].last = row
}

// Put keeps a finding that must stay on its own.
func (n *Notes) Put(p casebook.Problem) {
	n.made++
	n.own = append(n.own, p)
}

// counted is what is counted, for one and for more.
type counted struct{ one, more string }

func (c counted) of(n int) string {
	if n == 1 {
		return c.one
	}
	return c.more
}

var noteTexts = map[rules.ID]counted{
	rules.NumberAsText:    {"number stored as text", "numbers stored as text"},
	rules.NumberAbout:     {"number said to be about right, read without that word", "numbers said to be about right, read without that word"},
	rules.DateAsText:      {"date stored as text", "dates stored as text"},
	rules.RowUnused:       {"row that holds no record: a total, a repeated header or an example", "rows that hold no record: totals, repeated headers or examples"},
	rules.RowUnplanned:    {"row of a tooth without a planned movement", "rows of teeth without a planned movement"},
	rules.CodeTidied:      {"code written in another form (spaces, invisible or full-width characters, a number with decimals)", "codes written in another form (spaces, invisible or full-width characters, numbers with decimals)"},
	rules.CellMerged:      {"merged area among the records", "merged areas among the records"},
	rules.FormulaLikeText: {"text that looks like a formula", "texts that look like formulas"},
}

// Problems are those that were noted, one a rule and column.
func (n *Notes) Problems(file string) []casebook.Problem {
	out := n.own
	for _, x := range n.items {
		text := noteTexts[x.rule]
		p := rules.New(x.rule, "%d %s", x.count, text.of(x.count))
		p.File, p.Sheet, p.Row = file, x.t.Sheet.Name, x.first
		if x.col > 0 {
			p.Cell, p.Column = sheet.Ref(x.first, x.col), x.t.HeaderOf(x.col)
			if x.last > x.first {
				p.Message += fmt.Sprintf(", %s:%s", p.Cell, sheet.Ref(x.last, x.col))
			}
		} else if x.last > x.first {
			p.Message += fmt.Sprintf(", rows %d to %d", x.first, x.last)
		}
		out = append(out, p)
	}
	return out
}
