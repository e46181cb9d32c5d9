package ingest

import (
	"fmt"
	"hash/crc32"
	"maps"
	"math"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/firsts"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/row"
	"shortfall/ingest/rules"
)

// twiceID is the question which of the rows of one movement stands.
const twiceID = "twice"

// mostApart movements can be decided one by one.
const mostApart = 200

// twice settles movements that stand in several rows with different values: where
// somebody is there it is asked which row stands, of all of them or of each, else all
// rows are rejected, as the catalogue says.
func (r *reader) twice(rows []*row.Row) {
	found := r.givenTwice(rows)
	if len(found) == 0 {
		return
	}
	ask := r.Asker.Offer
	if r.o.Ask {
		ask = r.Asker.Ask
	}
	word := ask(r.aboutTwice(found))
	for _, of := range found {
		stands, answer := -1, word
		switch word {
		case "later":
			stands = len(of) - 1
		case "earlier":
			stands = 0
		case "each":
			if q := r.aboutRows(of); len(found) <= mostApart {
				if answer = ask(q); answer != both {
					stands = slices.Index(q.Words(), answer) - 1
				}
			}
		}
		switch sum, ok := r.sum(of); {
		case stands >= 0:
			r.stands(of, stands)
		case answer == both && ok:
			r.Batch.Movements[of[0].First].Value = sum
			of[1].Moves = 0
		} // else settled finds them and rejects all
	}
}

// givenTwice lists the movements that rows say differently, each with all its rows, in
// the order of the file.
func (r *reader) givenTwice(rows []*row.Row) (out [][]*row.Row) {
	known, of := r.movementIndex(), map[int][]*row.Row{} // by the first of the key, where there are more
	left := []*row.Row{}                                 // whose movements come too late for the question
	for _, x := range rows {
		if len(x.Errors()) > 0 || x.Moves != 1 {
			left = append(left, x)
			continue
		}
		first := known.Add(int(x.First))
		if first == int(x.First) {
			continue
		}
		if of[first] == nil {
			of[first] = []*row.Row{rowOf(rows, first)}
		}
		of[first] = append(of[first], x)
	}
	r.once = len(of) == 0 && r.allNew(known, left)
	for _, first := range slices.Sorted(maps.Keys(of)) {
		if slices.ContainsFunc(of[first], func(x *row.Row) bool { return r.only(x) != r.only(of[first][0]) }) {
			out = append(out, of[first])
		}
	}
	return out
}

// allNew reports that no movement of some rows is known or given twice.
func (r *reader) allNew(known *firsts.Index[casebook.MovementKey, casebook.CaseKey], rows []*row.Row) bool {
	for _, x := range rows {
		for i := x.First; i < x.First+x.Moves; i++ {
			if known.Add(int(i)) != int(i) {
				return false
			}
		}
	}
	return true
}

// only is the movement of a row that has one.
func (r *reader) only(x *row.Row) casebook.Movement { return r.MovementsOf(x)[0].Value }

// stands leaves out all rows of a movement but one.
func (r *reader) stands(of []*row.Row, i int) {
	for j, x := range of {
		if j == i {
			continue
		}
		p := rules.New(rules.MovementDuplicate, "another row of the same movement stands, as answered")
		p.File, p.Sheet, p.Row = r.Book.File.Name, x.Table.Sheet.Name, int(x.Number)
		x.Add(p)
	}
}

// both is the answer that two movements of one tooth both count.
const both = "both"

// sum is the movement that two rows of opposite directions come to: what the course
// planned and achieved along the axis in all. There is none where their attachments
// differ, or where more than two rows are there, of which some correct others.
func (r *reader) sum(of []*row.Row) (casebook.Movement, bool) {
	if len(of) != 2 || !r.bothWays(of) {
		return casebook.Movement{}, false
	}
	a, b := r.only(of[0]), r.only(of[1])
	out := a
	out.Planned = added(a.Planned, b.Planned)
	out.Achieved = casebook.Opt[float64]{}
	if a.Achieved.OK && b.Achieved.OK {
		out.Achieved = casebook.Some(added(a.Achieved.Value, b.Achieved.Value))
	}
	out.StatedPercent = casebook.Opt[float64]{} // of neither the share of the sum
	rest := b
	rest.Planned, rest.Achieved, rest.StatedPercent = out.Planned, out.Achieved, out.StatedPercent
	return out, rest == out
}

// added is a sum without the digits that binary fractions leave behind.
func added(a, b float64) float64 { return math.Round((a+b)*1e6)/1e6 + 0 } // no -0

// aboutTwice is the question about all of them.
func (r *reader) aboutTwice(found [][]*row.Row) question.Question {
	n, ways := 0, 0
	for _, of := range found {
		n += len(of)
		if r.bothWays(of) {
			ways++
		}
	}
	at := found[0][0]
	q := question.Question{
		ID: twiceID, Rule: string(rules.MovementDuplicate), Sheet: at.Table.Sheet.Name, Row: int(at.Number),
		Text: fmt.Sprintf("%d movements stand in %d rows with different values%s: %s", len(found), n, saysBothWays(ways, len(found)), whatCounts(ways)),
		Choices: []question.Choice{
			{Word: "neither", Text: "none of them, until they are corrected", Count: len(found)},
			{Word: "later", Text: "of each movement the lowest row, which corrects those above it", Count: len(found)},
			{Word: "earlier", Text: "of each movement the uppermost row", Count: len(found)},
		},
	}
	if len(found) == 1 {
		q.Text = fmt.Sprintf("A movement stands in %d rows with different values%s: %s", n, saysBothWays(ways, 1), whatCounts(ways))
	}
	if ways > 0 {
		q.Choices[0].Text += oneAnAxis
		q.Choices = slices.Insert(q.Choices, 1, question.Choice{
			Word: both, Count: ways,
			Text: "both, where a tooth moves both ways: they are added up to what the course planned and achieved in all (intrusion 0.5 and extrusion 0.2: intrusion 0.3); not where their attachments differ",
		})
	}
	if len(found) > 1 && len(found) <= mostApart {
		q.Choices = append(q.Choices, question.Choice{Word: "each", Text: "each movement is asked about apart"})
	}
	for _, of := range found[:min(len(found), mostExamples)] {
		var rows []string
		for _, x := range of {
			rows = append(rows, "row "+place(x, of[0])+": "+r.inRow(x))
		}
		q.Examples = append(q.Examples, r.whose(of[0])+": "+strings.Join(rows, "; "))
	}
	return q
}

// aboutRows is the question about one movement. Its id holds what its rows say, so that
// a remembered answer never covers others.
func (r *reader) aboutRows(of []*row.Row) question.Question {
	var all strings.Builder
	m, at := r.only(of[0]), of[0]
	q := question.Question{
		Rule: string(rules.MovementDuplicate), Sheet: at.Table.Sheet.Name, Row: int(at.Number),
		Text:    fmt.Sprintf("Which row is right for %s, %s, course %d?", r.whose(at), m.Axis, m.Course),
		Choices: []question.Choice{{Word: "neither", Text: "none of them, until they are corrected"}},
	}
	if r.bothWays(of) {
		q.Text = fmt.Sprintf("What counts for %s, planned both ways along one axis (%s) in course %d?", r.whose(at), m.Axis, m.Course)
		q.Choices[0].Text += oneAnAxis
	}
	for _, x := range of {
		fmt.Fprintf(&all, "%v\n", r.only(x))
		q.Choices = append(q.Choices, question.Choice{Word: "row " + place(x, of[0]), Text: r.inRow(x)})
	}
	if m, ok := r.sum(of); ok {
		q.Choices = append(q.Choices, question.Choice{Word: both, Text: "both, added up: " + say(m)})
	}
	q.ID = fmt.Sprintf(twiceID+" %08x", crc32.ChecksumIEEE([]byte(all.String())))
	return q
}

// bothWays reports a movement of which the rows plan opposite directions: an extrusion
// and an intrusion of one tooth, say, of which neither corrects the other.
func (r *reader) bothWays(of []*row.Row) bool {
	first := r.only(of[0])
	return slices.ContainsFunc(of, func(x *row.Row) bool { return r.only(x).Planned*first.Planned < 0 })
}

// oneAnAxis says what is lost where two movements were planned one after another: the
// key of a movement has no place for the second.
const oneAnAxis = "; a course holds one movement of a tooth along an axis, so of two planned one after another the second is kept only under the number of a later course"

// whatCounts asks for the right row, or for what counts where both can be right.
func whatCounts(ways int) string {
	if ways > 0 {
		return "what counts?"
	}
	return "which row is right?"
}

func saysBothWays(ways, all int) string {
	switch {
	case ways == 0:
		return ""
	case ways == all:
		return ", planned both ways along one axis"
	}
	return fmt.Sprintf(", %d of them planned both ways along one axis", ways)
}

// whose names case and tooth of the movement of a row, the tooth as its table writes it; a
// code that could be a name is withheld.
func (r *reader) whose(x *row.Row) string {
	m, tooth := r.only(x), "tooth "
	if n := r.NotationOf(x.Table); n != casebook.NoNotation && n != casebook.FDI {
		tooth += m.Tooth.In(n)
	} else {
		tooth += m.Tooth.String()
	}
	if privacy.LabelRule(m.Case.ID) != "" {
		return tooth
	}
	return "case " + m.Case.ID + ", " + tooth
}

// inRow says what a row with one movement holds.
func (r *reader) inRow(x *row.Row) string { return say(r.only(x)) }

// say puts a movement into words, as a size where it has a direction.
func say(m casebook.Movement) string {
	style, way := m.Style.String(), m.Axis.String()
	if style == "" {
		style = "not recorded"
	}
	if d := m.Direction(); d != casebook.NoDirection && !m.SizeOnly {
		way = d.String()
		m.Planned *= d.Sign()
		m.Achieved.Value = m.Achieved.Value*d.Sign() + 0 // no -0
	}
	return fmt.Sprintf("%s planned %v, achieved %s, attachment %s", way, m.Planned, outcomeText(m), style)
}
