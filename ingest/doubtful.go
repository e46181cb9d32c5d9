package ingest

import (
	"cmp"
	"fmt"
	"hash/crc32"
	"math"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// doubt is a movement whose amounts can hardly be right: a decimal point in the
// wrong place, a sign the wrong way round, another unit.
type doubt struct {
	t   *layout.Table
	row *row
	m   casebook.Movement
	f   columns.Field // the amount in doubt
	why string
}

// Where an amount is doubted. Own limits, set from common practice without a
// published source: no aligner moves a tooth three times as far as it was asked.
const (
	mostBeyond   = 3  // achieved along the plan, in times of the plan
	mostAgainst  = 2  // achieved against the plan, in times of the plan
	mostUsual    = 10 // any amount, in times of what is usual for the tooth
	enoughUsual  = 8  // plans that make something usual
	mostExamples = 3  // rows shown with a question
)

// amountsID begins the id of the question about them.
const amountsID = "amounts "

// smallestPlan is the plan below which a ratio to it means nothing; the audit has
// the same default.
func smallestPlan(a casebook.Axis) float64 {
	if a.Unit() == casebook.Degree {
		return 2
	}
	return 0.2
}

// usualKey is a movement of a kind of tooth, or with NoClass of any.
type usualKey struct {
	axis  casebook.Axis
	class casebook.ToothClass
}

// usualPlans are the median sizes of the plans of a file that mean something.
func usualPlans(rows []*row) map[usualKey]float64 {
	sizes := map[usualKey][]float64{}
	for _, r := range rows {
		for _, m := range r.movements {
			if size := math.Abs(m.Planned); len(r.errors) == 0 && size >= smallestPlan(m.Axis) {
				for _, class := range []casebook.ToothClass{casebook.NoClass, m.Tooth.Class()} {
					k := usualKey{m.Axis, class}
					sizes[k] = append(sizes[k], size)
				}
			}
		}
	}
	out := map[usualKey]float64{}
	for k, s := range sizes {
		if len(s) >= enoughUsual {
			slices.Sort(s)
			out[k] = (s[(len(s)-1)/2] + s[len(s)/2]) / 2
		}
	}
	return out
}

// doubtOf says what is doubtful about a movement, with NoField where nothing is.
func doubtOf(m casebook.Movement, usual map[usualKey]float64) (columns.Field, string) {
	most := mostUsual * cmp.Or(usual[usualKey{m.Axis, m.Tooth.Class()}], usual[usualKey{m.Axis, casebook.NoClass}])
	along := math.Copysign(m.Achieved.Value, m.Achieved.Value*m.Planned)
	plan := math.Abs(m.Planned)
	ratio := m.Achieved.OK && plan >= smallestPlan(m.Axis)
	switch {
	case ratio && along > mostBeyond*plan:
		return columns.Achieved, fmt.Sprintf("achieved is more than %d times the plan", mostBeyond)
	case ratio && along < -mostAgainst*plan:
		return columns.Achieved, fmt.Sprintf("achieved is more than %d times the plan, the other way", mostAgainst)
	case most > 0 && plan > most:
		return columns.Planned, fmt.Sprintf("planned is more than %d times what is usual for the tooth", mostUsual)
	case most > 0 && m.Achieved.OK && math.Abs(m.Achieved.Value) > most:
		return columns.Achieved, fmt.Sprintf("achieved is more than %d times what is usual for the tooth", mostUsual)
	}
	return columns.NoField, ""
}

// doubts looks for amounts that can hardly be right and asks about them where
// somebody is there to answer (Options.Ask). Without an answer they are kept, each
// with a warning: what is far out is decided by a person, never by its size alone.
func (r *reader) doubts(rows map[*layout.Table][]*row) {
	var all []*row
	for _, t := range r.tables {
		all = append(all, rows[t]...)
	}
	usual := usualPlans(all)
	var found []doubt
	for _, t := range r.tables {
		for _, x := range rows[t] {
			for _, m := range x.movements {
				if f, why := doubtOf(m, usual); f != columns.NoField && len(x.errors) == 0 {
					found = append(found, doubt{t, x, m, f, why})
				}
			}
		}
	}
	if len(found) == 0 {
		return
	}
	q := aboutDoubts(found)
	ask := r.asker.Offer
	if r.o.Ask {
		ask = r.asker.Ask
	}
	word := ask(q)
	for _, d := range found {
		p := d.problem(r.book.File.Name)
		switch word {
		case "leave out", "correct":
			p.Severity = casebook.Error
			d.row.errors = append(d.row.errors, p)
		case "keep":
			p.Severity = casebook.Info
			p.Message += "; it was kept, as answered"
			r.batch.Problems = append(r.batch.Problems, p)
		default:
			p.Message += "; it was kept"
			p.Remedy += "; or answer " + q.Remedy()[len("Answer with "):]
			r.batch.Problems = append(r.batch.Problems, p)
		}
	}
	r.mustCorrect = word == "correct"
}

func (d doubt) problem(file string) casebook.Problem {
	p := rules.New(rules.AmountDoubtful, "%s", d.why)
	p.File, p.Sheet, p.Row = file, d.row.source.Sheet, d.row.source.Row
	if col := d.t.Find(d.f); col > 0 {
		p.Cell, p.Column, p.Class = sheet.Ref(d.row.source.Row, col), d.t.HeaderOf(col), sheet.Number.String()
	}
	return p
}

// aboutDoubts is the question about all of them. Its id holds what they are, so that
// a remembered answer never covers another amount.
func aboutDoubts(found []doubt) question.Question {
	var all strings.Builder
	q := question.Question{Rule: string(rules.AmountDoubtful), Sheet: found[0].row.source.Sheet}
	for i, d := range found {
		fmt.Fprintln(&all, d.m.Key(), d.m.Planned, d.m.Achieved)
		if i < mostExamples {
			q.Examples = append(q.Examples, fmt.Sprintf("row %d: %s planned %v, achieved %s", d.row.source.Row, d.m.Axis, d.m.Planned, outcomeText(d.m)))
		}
	}
	p := found[0].problem("")
	q.Cell, q.Row, q.Column = p.Cell, p.Row, p.Column
	q.ID = fmt.Sprintf(amountsID+"%08x", crc32.ChecksumIEEE([]byte(all.String())))
	q.Text = fmt.Sprintf("%d movements have amounts that can hardly be right (more than %d times the plan, more than %d times against it, or %d times what is usual for the tooth): are they as they were measured?",
		len(found), mostBeyond, mostAgainst, mostUsual)
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
