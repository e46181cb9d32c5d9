package decide

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// notationNames as a sentence writes them.
var notationNames = map[casebook.Notation]string{
	casebook.FDI: "FDI", casebook.Universal: "Universal", casebook.Palmer: "Palmer",
}

// composed reports a table whose teeth are numbers from 1 to 8, or their names, beside
// their quadrant, or beside arch and side.
func composed(t *layout.Table) bool {
	col := t.Find(columns.Tooth)
	if col == 0 || !t.Has(columns.Quadrant) && !(t.Has(columns.Arch) && t.Has(columns.Side)) {
		return false
	}
	all, digits := 0, 0
	eachCell(t, col, func(_ int, c sheet.Cell) {
		all++
		if octant(c.Text) || values.ParseTooth(c.Text).Name.Lacks() != "" {
			digits++
		}
	})
	return 10*digits >= 9*all
}

// octant reports a number from 1 to 8.
func octant(s string) bool {
	t := values.ParseTooth(s)
	return t.FDI == 0 && t.Universal >= 11 && t.Universal <= 18
}

// teeth is what the tooth cells of a file say about their notation.
type teeth struct {
	values.Notations
	octants int
	named   casebook.Notation // by the headers, NoNotation where none or several
	differ  bool
	first   question.Question // where the first tooth stands
}

// column notes the cells of a column.
func (e *teeth) column(t *layout.Table, col int) {
	for _, s := range distinct(t, col, filled(t, col)) {
		e.note(t, s.first.Number, col, s.cell.Text, s.n)
	}
}

// note notes a text of so many cells, the first of which stands in the row.
func (e *teeth) note(t *layout.Table, row, col int, text string, n int) {
	for _, part := range values.Teeth(text) {
		e.Note(values.ParseTooth(part), n)
		if octant(part) {
			e.octants += n
		}
	}
	if e.first.Cell == "" {
		e.first.Sheet, e.first.Cell, e.first.Column = t.Sheet.Name, sheet.Ref(row, col), t.HeaderOf(col)
	}
}

func (e *teeth) name(n casebook.Notation) {
	switch {
	case n == casebook.NoNotation:
	case e.named == casebook.NoNotation:
		e.named = n
	case e.named != n:
		e.differ = true
	}
}

func (r *File) teeth() teeth {
	var e teeth
	for _, t := range r.Tables {
		if r.Plans[t].Composed {
			continue
		}
		if col := t.Find(columns.Tooth); col > 0 {
			c, _ := t.ColumnAt(col)
			e.name(c.Notation)
			e.column(t, col)
		}
		for _, p := range t.Pairs {
			if p.Tooth != "" {
				e.note(t, t.Header, p.Cols[columns.Planned], p.Tooth, 1)
			}
		}
	}
	for _, n := range r.legend.notations {
		e.name(n)
	}
	return e
}

// decideNotation settles the notation of the file: given, declared, named by
// the header where the teeth agree, or decided by teeth that only one has.
func (r *File) decideNotation(m *mapping.File, out *[]casebook.Problem) {
	texts := r.toothTexts()
	r.decideJaws(texts)
	r.decideQuadrants(texts)
	if r.notation = r.declared; r.notation != casebook.NoNotation {
		return
	}
	if m.File.Notation != "" {
		r.notation, _ = casebook.ParseNotation(m.File.Notation)
		return
	}
	e := r.teeth()
	if e.differ && r.notationsByTable(out) {
		return
	}
	switch {
	case e.Teeth == 0: // no tooth at all: each cell is reported where it is read
		r.notation = casebook.FDI
		return
	case e.named != casebook.NoNotation && !e.differ && e.agrees(e.named):
		r.notation = e.named
	case e.named != casebook.NoNotation: // the header says one thing and the teeth another
	case e.octants < e.Teeth:
		r.notation = e.Decide()
	}
	if r.notation == casebook.NoNotation {
		r.askNotation(e)
		return
	}
	*out = append(*out, rules.New(rules.NotationAssumed, "teeth are read in %s notation", notationNames[r.notation]))
}

// notationsByTable takes the notation of each table from its own header, where every
// table names one and its teeth agree.
func (r *File) notationsByTable(out *[]casebook.Problem) bool {
	named := map[*layout.Table]casebook.Notation{}
	for _, t := range r.Tables {
		col := t.Find(columns.Tooth)
		if col == 0 {
			continue
		}
		var e teeth
		c, _ := t.ColumnAt(col)
		e.column(t, col)
		if c.Notation == casebook.NoNotation || e.Teeth > 0 && !e.agrees(c.Notation) {
			return false
		}
		named[t] = c.Notation
	}
	for _, t := range r.Tables {
		if n, ok := named[t]; ok {
			*out = append(*out, inSheet(t, rules.New(rules.NotationAssumed, "teeth are read in %s notation", notationNames[n])))
		}
	}
	r.notations = named
	r.notation = casebook.FDI // of tables without a column of teeth
	return true
}

// NotationOf is the notation of the teeth of a table.
func (r *File) NotationOf(t *layout.Table) casebook.Notation {
	if n, ok := r.notations[t]; ok {
		return n
	}
	return r.notation
}

// Notation is the one of every tooth of the file, NoNotation where tables differ.
func (r *File) Notation() casebook.Notation {
	if len(r.notations) > 0 {
		return casebook.NoNotation
	}
	return r.notation
}

// agrees reports that no more than a stray tooth contradicts a notation.
func (e *teeth) agrees(n casebook.Notation) bool {
	against := e.FDI + e.Universal + e.Palmer
	switch n {
	case casebook.FDI:
		against -= e.FDI
	case casebook.Universal:
		against -= e.Universal
	case casebook.Palmer:
		return e.Palmer*2 > e.Teeth
	}
	return against*20 <= e.Teeth
}

func (r *File) askNotation(e teeth) {
	q := e.first
	q.ID, q.Rule = "notation", string(rules.NotationAsk)
	q.Text = "the teeth of the file are valid in two notations, or in different ones: which notation is it?"
	add := func(n casebook.Notation, text string) {
		q.Choices = append(q.Choices, question.Choice{Word: n.String(), Text: text})
	}
	switch {
	case e.octants == e.Teeth:
		q.Text = fmt.Sprintf("all %d teeth are numbers from 1 to 8 and no column gives their quadrant: are they Universal numbers? "+
			"If not, add a column for the quadrant, or for arch and side", e.Teeth)
		add(casebook.Universal, "1 to 8 are the upper right teeth, from the third molar to the central incisor")
	default:
		add(casebook.FDI, "two digits, quadrant and tooth: 11 to 48")
		add(casebook.Universal, "1 to 32, from the upper right third molar")
		if e.Palmer > 0 {
			add(casebook.Palmer, "quadrant and 1 to 8: UR3")
		}
	}
	if word := r.Asker.Ask(q); word != "" {
		r.notation, _ = casebook.ParseNotation(word)
	}
}
