package ingest

import (
	"fmt"
	"hash/crc32"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/row"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// doubt is a movement whose amounts can hardly be right: a decimal point in the
// wrong place, a sign the wrong way round, another unit.
type doubt struct {
	t   *layout.Table
	row *row.Row
	m   *casebook.Movement
	f   columns.Field // the amount in doubt
	why string
	id  rules.ID
}

// mostExamples rows are shown with a question.
const mostExamples = 3

// amountsID begins the id of the question about them.
const amountsID = "amounts "

// smallestPlan is the plan below which a ratio to it means nothing; the audit has
// the same default.
func smallestPlan(u casebook.Unit) float64 {
	if u == casebook.Degree {
		return 2
	}
	return 0.2
}

// doubts looks for amounts that can hardly be right and asks about those that nobody
// has confirmed, where somebody is there to answer (Options.Ask). Without an answer they
// are kept, each with a warning: what is far out is decided by a person, never by its
// size alone.
func (r *reader) doubts(rows []*row.Row) {
	good, movements := make([]*row.Row, 0, len(rows)), make([]*casebook.Movement, 0, len(rows))
	for _, x := range rows {
		if len(x.Errors()) > 0 {
			continue
		}
		of := r.MovementsOf(x)
		for i := range of {
			good, movements = append(good, x), append(movements, &of[i].Value)
		}
	}
	var found []doubt
	for i, why := range casebook.Doubts(movements, smallestPlan) {
		d := doubt{t: good[i].Table, row: good[i], m: movements[i], id: rules.AmountDoubtful}
		if d.f, d.why = columns.Achieved, why.String(); why.OfPlan() {
			d.f = columns.Planned
		}
		if why == casebook.NoDoubt && !d.unlikely() {
			continue
		}
		if d.m.Confirmed == casebook.AsMeasured {
			r.keep(d, "; it was kept, as confirmed in its row")
			continue
		}
		found = append(found, d)
	}
	if len(found) > 0 {
		r.askAbout(found)
	}
}

// askAbout asks about amounts that nobody has confirmed, and does as answered.
func (r *reader) askAbout(found []doubt) {
	q := aboutDoubts(found)
	ask := r.Asker.Offer
	if r.o.Ask {
		ask = r.Asker.Ask
	}
	word := ask(q)
	for _, d := range found {
		switch word {
		case "leave out", "correct":
			p := d.problem(r.Book.File.Name)
			p.Severity = casebook.Error
			d.row.Add(p)
		case "keep":
			d.m.Confirmed = casebook.AsMeasured
			r.keep(d, "; it was kept, as answered")
		default:
			p := d.problem(r.Book.File.Name)
			p.Message += "; it was kept"
			p.Remedy += "; or answer " + q.Remedy()[len("Answer with "):]
			r.Batch.Problems = append(r.Batch.Problems, p)
		}
	}
	r.mustCorrect = word == "correct"
}

// keep notes a confirmed amount.
func (r *reader) keep(d doubt, how string) {
	p := d.problem(r.Book.File.Name)
	p.Severity = casebook.Info
	p.Message += how
	r.Batch.Problems = append(r.Batch.Problems, p)
}

// unlikely is a doubt of an amount that is large for any tooth, however large the others
// of the file are.
func (d *doubt) unlikely() bool {
	d.id, d.why = rules.AmountUnlikely, "the amount is implausibly large"
	switch {
	case rules.Judge(d.m.Axis, d.m.Planned) == rules.AmountUnlikely:
		d.f = columns.Planned
	case d.m.Achieved.OK && rules.Judge(d.m.Axis, d.m.Achieved.Value) == rules.AmountUnlikely:
		d.f = columns.Achieved
	default:
		return false
	}
	return true
}

// column is where the amount in doubt stands: of a wide sheet that of its movement.
func (d doubt) column() int {
	for _, p := range d.t.Pairs {
		if p.Axis != casebook.NoAxis && p.Axis != d.m.Axis || p.Course != 0 && p.Course != d.m.Course {
			continue
		}
		if p.Direction != casebook.NoDirection && p.Direction != casebook.DirectionOf(d.m.Axis, d.m.Planned) {
			continue
		}
		of := values.ParseTooth(p.Tooth)
		if col := p.Cols[d.f]; col > 0 && (p.Tooth == "" || d.m.Tooth == of.FDI || d.m.Tooth == of.Universal || d.m.Tooth == of.Palmer) {
			return col
		}
	}
	if len(d.t.Pairs) > 0 {
		return 0
	}
	return d.t.Find(d.f)
}

func (d doubt) problem(file string) casebook.Problem {
	p := rules.New(d.id, "%s", d.why)
	p.File, p.Sheet, p.Row = file, d.t.Sheet.Name, int(d.row.Number)
	if col := d.column(); col > 0 {
		p.Cell, p.Column, p.Class = sheet.Ref(p.Row, col), d.t.HeaderOf(col), sheet.Number.String()
	}
	return p
}

// aboutDoubts is the question about all of them. Its id holds what they are, so that
// a remembered answer never covers another amount.
func aboutDoubts(found []doubt) question.Question {
	var all strings.Builder
	q := question.Question{Rule: string(rules.AmountDoubtful), Sheet: found[0].t.Sheet.Name}
	for i, d := range found {
		fmt.Fprintln(&all, d.m.Key(), d.m.Planned, d.m.Achieved)
		if i < mostExamples {
			q.Examples = append(q.Examples, fmt.Sprintf("row %d: %s planned %v, achieved %s", d.row.Number, d.m.Axis, d.m.Planned, outcomeText(*d.m)))
		}
	}
	p := found[0].problem("")
	q.Cell, q.Row, q.Column = p.Cell, p.Row, p.Column
	q.ID = fmt.Sprintf(amountsID+"%08x", crc32.ChecksumIEEE([]byte(all.String())))
	q.Text = fmt.Sprintf("%d movements have amounts that can hardly be right (more than %d times the plan, more than %d times against it, %d times what is usual for the tooth, or large for any tooth): are they as they were measured?",
		len(found), casebook.MostBeyond, casebook.MostAgainst, casebook.MostUsual)
	q.Choices = []question.Choice{
		{Word: "keep", Text: "they are right and are kept", Count: len(found)},
		{Word: "leave out", Text: "their rows are left out and counted, until they are corrected", Count: len(found)},
		{Word: "correct", Text: "they are corrected in the sheet first; nothing of it is read until then", Count: len(found)},
	}
	return q
}

func outcomeText(m casebook.Movement) string {
	if !m.Achieved.OK {
		return "not measured"
	}
	return fmt.Sprint(m.Achieved.Value)
}
