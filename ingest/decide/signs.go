package decide

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/memo"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// amountSigns counts the planned amounts of a table.
type amountSigns struct {
	directed   int // with a direction in words, of the row or beside the number
	undirected int // without, and not 0
	negative   int
	against    int // negative planned amounts whose achieved one is positive
	along      int // negative planned amounts whose achieved one is negative
}

func (s *amountSigns) add(o amountSigns) {
	s.directed += o.directed
	s.undirected += o.undirected
	s.negative += o.negative
	s.against += o.against
	s.along += o.along
}

// signsOf counts the planned amounts of a table by what gives their direction.
func (r *File) signsOf(t *layout.Table) amountSigns {
	var s amountSigns
	words := map[string]bool{}
	read := r.signedTexts(t)
	amounts := amountsOf(t)
	for row := range r.records(t) {
		if t.Repeats(row) {
			continue
		}
		given := r.rowDirection(t, row, words)
		for _, a := range amounts {
			v := read(row, a.planned)
			if v.value == 0 {
				continue
			}
			switch {
			case given || a.directed || v.word:
				s.directed++
			case a.axis != casebook.NoAxis || !r.unreadAxis(t, row):
				s.undirected++
			}
			if v.value > 0 {
				continue
			}
			s.negative++
			if w := read(row, a.achieved); w.value > 0 && !w.word {
				s.against++
			} else if w.value < 0 {
				s.along++
			}
		}
	}
	return s
}

// signedText is an amount as far as its sign goes: 0 where it is none.
type signedText struct {
	value float64
	word  bool // stands beside it
}

// signedTexts reads the amounts of a table, each text once.
func (r *File) signedTexts(t *layout.Table) func(row sheet.Row, col int) signedText {
	of := func(k sheet.Kind) *memo.Numbered[signedText] {
		return memo.ByNumber(func(text string) (out signedText) {
			if v, ok := r.signed(sheet.Cell{Kind: k, Text: text}); ok {
				out = signedText{v.Value, v.Word != ""}
			}
			return out
		})
	}
	numbers, texts := of(sheet.Number), of(sheet.String)
	return func(row sheet.Row, col int) signedText {
		c, n := t.Sheet.At(row, col)
		switch c.Kind {
		case sheet.Number:
			return numbers.Get(n, c.Text)
		case sheet.String:
			return texts.Get(n, c.Text)
		}
		return signedText{}
	}
}

// plannedColumn is one planned column with its achieved one; the axis is that of a wide
// sheet.
type plannedColumn struct {
	planned, achieved int
	directed          bool
	axis              casebook.Axis
	direction         casebook.Direction
}

func amountsOf(t *layout.Table) []plannedColumn {
	if w, ok := t.Twins(columns.Planned); ok {
		a, _ := t.Twins(columns.Achieved)
		return []plannedColumn{{planned: w.Millimetre, achieved: a.Millimetre}, {planned: w.Degree, achieved: a.Degree}}
	}
	var out []plannedColumn
	if col := t.Find(columns.Planned); col > 0 {
		out = append(out, plannedColumn{planned: col, achieved: t.Find(columns.Achieved)})
	}
	for _, p := range t.Pairs {
		out = append(out, plannedColumn{p.Cols[columns.Planned], p.Cols[columns.Achieved], p.Direction != casebook.NoDirection, p.Axis, p.Direction})
	}
	return out
}

// rowDirection reports a row whose words give a direction; seen remembers words.
func (r *File) rowDirection(t *layout.Table, row sheet.Row, seen map[string]bool) bool {
	if col := t.Find(columns.Direction); col > 0 && row.At(col).Kind != sheet.Blank {
		return true
	}
	col := t.Find(columns.Axis)
	if col == 0 {
		_, d, err := values.ParseAxis(t.Constants[columns.Axis])
		return t.Constants[columns.Direction] != "" || err == nil && d != casebook.NoDirection
	}
	text := row.At(col).Text
	known, ok := seen[text]
	if !ok {
		_, d, err := values.ParseAxis(r.Meant(columns.Axis, text))
		known = err == nil && d != casebook.NoDirection
		seen[text] = known
	}
	return known
}

// unreadAxis reports a row whose movement is no word that is known: it is refused, or a
// question about the word is open.
func (r *File) unreadAxis(t *layout.Table, row sheet.Row) bool {
	col := t.Find(columns.Axis)
	if col == 0 {
		return false
	}
	text := r.Meant(columns.Axis, strings.TrimSpace(row.At(col).Text))
	_, _, err := values.ParseAxis(text)
	var f values.Fail
	return err != nil && !(errors.As(err, &f) && f.Explained) && values.TurningOf(text) == values.NoTurning
}

func (r *File) signed(c sheet.Cell) (values.Amount, bool) {
	switch c.Kind {
	case sheet.Number:
		a, err := values.StoredNumber(c.Text)
		return a, err == nil
	case sheet.String:
		a, err := r.AmountIn(c.Text)
		return a, err == nil
	}
	return values.Amount{}, false
}

// AmountIn reads an amount beside which may stand a short word that the file
// itself explains: "13 CM" is no length in centimetres where CM is crown mesial.
func (r *File) AmountIn(text string) (values.Amount, error) {
	word := strings.TrimFunc(text, func(c rune) bool { return !unicode.IsLetter(c) })
	if _, ok := r.learnt[learntWord{columns.Direction, values.Key(word)}]; word == "" || !ok && !r.beside[values.Key(word)] {
		return values.ParseAmount(text, r.decimal)
	}
	a, err := values.ParseAmount(strings.Replace(text, word, "", 1), r.decimal)
	a.Word = word
	return a, err
}

// fewAmounts is how many positive amounts may stand in a file laid out as our
// own template, whose instructions give the signs, before they are asked about.
const fewAmounts = 5

// decideSigns settles over the whole file whether amounts carry signs. Amounts
// that are all positive and have no direction in words are asked about: sizes,
// or movements that all happen to go one way.
func (r *File) decideSigns(m *mapping.File, out *[]casebook.Problem) {
	var all amountSigns
	own := true
	each := map[*layout.Table]amountSigns{}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind {
			continue
		}
		each[t] = r.signsOf(t)
		all.add(each[t])
		own = own && asTemplate(t)
	}
	answer := m.File.Amounts
	positions := r.anyPositions()
	if answer == "" && all.negative == 0 && all.undirected > 0 && !positions && !r.axesOpen() && !(own && all.undirected < fewAmounts) {
		answer = r.askSigns(all)
	}
	r.askPositionSigns()
	for _, t := range r.Tables {
		if s, ok := each[t]; ok {
			p := r.Plans[t]
			p.take(answer, s, all)
			if p.SizeOnly && answer == "sizes" {
				*out = append(*out, inSheet(t, rules.New(rules.SizeOnly, "none of %d planned amounts is negative and nothing gives directions", s.undirected)))
			} else if p.Sizes && answer == "" {
				*out = append(*out, inSheet(t, rules.New(rules.LayoutAssumed, "no planned amount is negative and directions are given in words, so amounts were read as sizes")))
			}
			r.Plans[t] = p
		}
	}
	if all.negative > 0 && all.directed > 0 && answer != "sizes" {
		r.decideWorded(out)
	}
	if all.negative > 0 || positions || answer == "signed" && all.directed == 0 {
		r.decidePositive(out)
	}
	r.decideAchievedSigns(all)
	r.decideForgotten(all)
}

// take applies what was answered or declared, and what the table itself says.
func (p *Plan) take(answer string, s, all amountSigns) {
	switch {
	case answer == "sizes":
		p.Sizes, p.SizeOnly = true, s.directed == 0
	case answer == "signed" && s.directed > 0 && all.negative == 0:
		p.Sizes, p.PlusMeant = true, true
	case answer == "signed":
	case all.negative == 0 && s.directed > 0:
		p.Sizes = true
	}
}

// askPositionSigns asks about positions of which none is negative: a position may well
// be, and one without its sign gives another movement.
func (r *File) askPositionSigns() {
	n := 0
	at := question.Question{}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind || r.Plans[t].Planned != "end position" {
			continue
		}
		for _, f := range []columns.Field{columns.StartPosition, columns.Planned, columns.TargetPosition, columns.EndPosition, columns.Achieved} {
			col := t.Find(f)
			if col == 0 {
				continue
			}
			negative := false
			r.eachRow(t, func(row sheet.Row) {
				v, ok := r.signed(row.At(col))
				negative = negative || ok && (v.Value < 0 || v.Word != "")
				if ok {
					n++
				}
			})
			if negative {
				return
			}
			if at.Cell == "" {
				at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, col), Column: t.HeaderOf(col)}
			}
		}
	}
	if n < fewPositions {
		return
	}
	at.ID, at.Rule = "position signs", string(rules.SizeOnly)
	at.Text = fmt.Sprintf("none of %d positions is negative: were they written with their signs?", n)
	at.Choices = []question.Choice{
		{Word: "signed", Text: "yes, all of them happen to be positive", Count: n},
		{Word: "sizes", Text: "no; movements cannot be computed from them, and their rows are left out", Count: n},
	}
	if r.Asker.Ask(at) == "sizes" {
		for t, p := range r.Plans {
			p.Unsigned = p.Planned == "end position"
			r.Plans[t] = p // each table by itself: any order
		}
	}
}

// fewPositions is how many positive positions may be chance.
const fewPositions = 12

// axesOpen reports a word or a column of a movement that is still to be answered: what it
// means may give the direction, or signs.
func (r *File) axesOpen() bool {
	return slices.ContainsFunc(r.Asker.Open(), func(q question.Question) bool {
		return strings.HasPrefix(q.ID, "axis ") || strings.HasPrefix(q.ID, "movement of ") || q.ID == "column "+columns.Direction.String()
	})
}

func (r *File) anyPositions() bool {
	for _, q := range r.Asker.Open() {
		if q.ID == "positions" {
			return true // what the columns hold is asked first
		}
	}
	for _, p := range r.Plans {
		if p.Planned == "end position" {
			return true
		}
	}
	return false
}

// asTemplate reports a table with the headers of our own template.
func asTemplate(t *layout.Table) bool {
	for _, f := range []columns.Field{columns.Tooth, columns.Axis, columns.Planned, columns.Achieved} {
		c, ok := t.ColumnAt(t.Find(f))
		if _, twins := t.Twins(f); !twins && !(ok && c.Canonical) && !(f == columns.Achieved && t.Find(f) == 0 && len(t.Pairs) == 0) {
			return false
		}
	}
	return true
}

func (r *File) askSigns(all amountSigns) string {
	text := fmt.Sprintf("none of the %d planned amounts is negative and nothing says which way they go: are they sizes without direction?", all.undirected)
	if all.directed > 0 {
		text = fmt.Sprintf("%d planned amounts name no direction and none is negative: are these sizes without direction?", all.undirected)
	}
	return r.Asker.Ask(question.Question{
		ID: "signs", Rule: string(rules.SizeOnly), Text: text,
		Choices: []question.Choice{
			{Word: "sizes", Text: "sizes only: how far, not which way", Count: all.undirected},
			{Word: "signed", Text: "with sign, all in the positive direction: extrusion, mesial side inward, crown mesial, crown buccal, mesial, buccal", Count: all.undirected},
		},
		Proposed: "sizes", Examples: r.amountExamples(r.undirected),
	})
}

// undirected reports a row whose planned amount has no direction.
func (r *File) undirected(t *layout.Table, row sheet.Row) bool {
	v, ok := r.signed(row.At(t.Find(columns.Planned)))
	return ok && v.Value != 0 && v.Word == "" && !r.rowDirection(t, row, map[string]bool{})
}

// along reports rows of movements along the axes.
func (r *File) along(axes []casebook.Axis) func(*layout.Table, sheet.Row) bool {
	return func(t *layout.Table, row sheet.Row) bool {
		return slices.Contains(axes, r.axisIn(t, row))
	}
}

// axisIn is the axis that the column of movements of a row names; none where it cannot be
// read.
func (r *File) axisIn(t *layout.Table, row sheet.Row) casebook.Axis {
	axis, _, err := values.ParseAxis(r.Meant(columns.Axis, strings.TrimSpace(row.At(t.Find(columns.Axis)).Text)))
	if err != nil {
		return casebook.NoAxis
	}
	return axis
}

// amountExamples shows the first planned amounts of rows that a question is about, in
// plain words.
func (r *File) amountExamples(about func(*layout.Table, sheet.Row) bool) []string {
	var out []string
	for _, t := range r.Tables {
		axis, planned, achieved := t.Find(columns.Axis), t.Find(columns.Planned), t.Find(columns.Achieved)
		if planned == 0 || axis == 0 {
			continue
		}
		r.eachRow(t, func(row sheet.Row) {
			a, p := row.At(axis), row.At(planned)
			if _, amount := r.signed(p); len(out) == 3 || !amount || len(a.Text)+len(p.Text) > 30 || !about(t, row) {
				return
			}
			s := fmt.Sprintf("row %d: %s planned %s", row.Number, strings.TrimSpace(a.Text), strings.TrimSpace(p.Text))
			if c := row.At(achieved); len(c.Text) <= 12 {
				if _, amount := r.signed(c); amount {
					s += ", achieved " + strings.TrimSpace(c.Text)
				}
			}
			out = append(out, s)
		})
	}
	return out
}
