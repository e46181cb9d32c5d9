package decide

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// alongAxis counts the planned amounts along one axis.
type alongAxis struct {
	down     int // positive, beside the word of a direction that is negative there, or may be
	plain    int // without a direction
	negative int
	words    []string
}

// decideWorded settles axes along which words give directions and no planned amount is
// negative, in a file that carries signs along others: "intrusion 0.8" is a size, whatever
// the tip beside it has. Where other amounts of the axis have no word, it is asked what
// these are.
func (r *File) decideWorded(out *[]casebook.Problem) {
	if r.anyPositions() {
		return
	}
	along := r.wordedAlong()
	for _, a := range casebook.Axes() {
		s := along[a]
		if s.down == 0 || s.negative > 0 || s.down < fewestEachWay && r.declaredPositive(a) {
			continue
		}
		word := "sizes"
		if s.plain > 0 {
			word = r.Asker.Ask(aboutWorded(a, s))
		} else {
			*out = append(*out, rules.New(rules.LayoutAssumed, "no planned amount of %s is negative and its directions are given in words (%s), so amounts along it were read as sizes", a, strings.Join(s.words, ", ")))
		}
		for t, p := range r.Plans { // any order: each table by itself
			if t.Kind == casebook.MovementKind && !asTemplate(t) {
				p.SizesAlong[a], p.PlusAlong[a] = true, word == "signed"
				r.Plans[t] = p
			}
		}
	}
}

// aboutWorded asks what the amounts along an axis are that have no word beside others that
// have one.
func aboutWorded(a casebook.Axis, s alongAxis) question.Question {
	return question.Question{
		ID: "sizes of " + a.String(), Rule: string(rules.SizeOnly), Count: s.plain,
		Text: fmt.Sprintf("none of the planned amounts of %s is negative; %d have their direction in words (%s) and %d have none: are these %d sizes without direction?", a, s.down, strings.Join(s.words, ", "), s.plain, s.plain),
		Choices: []question.Choice{
			{Word: "sizes", Text: "sizes only: how far, not which way", Count: s.plain},
			{Word: "signed", Text: "with sign, all of them in the same direction", Count: s.plain},
		},
		Proposed: "sizes",
	}
}

// declaredPositive reports that a mapping or a legend of the file says which amounts of an
// axis are positive: one that contradicts it may be a slip.
func (r *File) declaredPositive(a casebook.Axis) bool {
	if _, declared, _ := r.mapping.PositiveOf(a); declared {
		return true
	}
	for _, t := range r.Tables {
		if _, ok := r.legend.positiveOn(t.Sheet.Name, a); ok {
			return true
		}
	}
	return false
}

// wordedAlong counts the planned amounts along each axis. In our own template the
// instructions give the signs, and a word that contradicts them is a slip.
func (r *File) wordedAlong() map[casebook.Axis]alongAxis {
	out := map[casebook.Axis]alongAxis{}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind {
			continue
		}
		read, own := r.signedTexts(t), asTemplate(t)
		r.eachAmount(t, func(row sheet.Row, w wordedAmount) {
			v := read(row, w.planned)
			s := out[w.axis]
			switch {
			case v.value == 0 || w.axis == casebook.NoAxis:
				return
			case v.value < 0:
				s.negative++
			case v.word:
				return
			case !w.worded:
				s.plain++
			case w.direction.Sign() <= 0 && !own:
				s.down++
				s.words = told(s.words, w.direction)
			}
			out[w.axis] = s
		})
	}
	return out
}

// told adds the name of a direction that is not yet among the names.
func told(names []string, d casebook.Direction) []string {
	if name := d.String(); name != "" && !slices.Contains(names, name) {
		return append(names, name)
	}
	return names
}

// wordedAmount is an amount of a row with what words give of its direction: none where
// worded is true and the word is not known yet, or depends on the tooth.
type wordedAmount struct {
	plannedColumn
	direction casebook.Direction
	worded    bool
}

// eachAmount calls f with every planned column of every record of a table.
func (r *File) eachAmount(t *layout.Table, f func(sheet.Row, wordedAmount)) {
	of, col := amountsOf(t), t.Find(columns.Direction)
	axis, constant, _ := values.ParseAxis(t.Constants[columns.Axis])
	r.eachRow(t, func(row sheet.Row) {
		w := wordedAmount{direction: constant, worded: constant != casebook.NoDirection || t.Constants[columns.Direction] != ""}
		w.axis = axis
		if c := t.Find(columns.Axis); c > 0 {
			w.axis, w.direction, _ = values.ParseAxis(r.Meant(columns.Axis, strings.TrimSpace(row.At(c).Text)))
			w.worded = w.direction != casebook.NoDirection
		}
		if c := row.At(col); col > 0 && c.Kind != sheet.Blank && !values.IsMissing(c.Text, r.Missing) {
			d, _ := values.ParseDirection(r.MeantDirection(strings.TrimSpace(c.Text), w.axis), w.axis)
			w.axis, w.direction, w.worded = cmp.Or(w.axis, d.Axis()), d, true
		}
		for _, a := range of {
			got := w
			got.plannedColumn = a
			if a.axis == casebook.NoAxis {
				got.axis = w.axis
			} else {
				got.direction, got.worded = a.direction, a.directed
			}
			f(row, got)
		}
	})
}
