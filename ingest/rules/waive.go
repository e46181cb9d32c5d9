package rules

import (
	"strconv"

	"shortfall/ingest/casebook"
)

// Waiver accepts the findings of one rule in a place, with a reason. An empty
// place matches the whole file.
type Waiver struct {
	Rule, Sheet, Cell string
	Row               int
	Reason            string
}

func (w Waiver) matches(p casebook.Problem) bool {
	return w.Rule == p.Rule && (w.Sheet == "" || w.Sheet == p.Sheet) && (w.Cell == "" || w.Cell == p.Cell) &&
		(w.Row == 0 || w.Row == p.Row)
}

// Waive turns the warnings that a waiver matches into notes that carry its
// reason; they stay in the list. An error cannot be waived, since its row has
// no record. A waiver that matches nothing is reported.
func Waive(b *casebook.Batch, waivers []Waiver) {
	for _, w := range waivers {
		used := false
		for i := range b.Problems {
			p := &b.Problems[i]
			if p.Severity == casebook.Error || !w.matches(*p) {
				continue
			}
			used = true
			p.Severity = casebook.Info
			p.Message += " (accepted: " + w.Reason + ")"
		}
		if !used {
			p := New(WaiverUnmatched, "the waiver of rule %s%s matches no warning", w.Rule, w.where())
			p.File = b.File.Name
			b.Problems = append(b.Problems, p)
		}
	}
}

func (w Waiver) where() string {
	s := ""
	if w.Sheet != "" {
		s += ", sheet " + w.Sheet
	}
	if w.Cell != "" {
		s += ", cell " + w.Cell
	}
	if w.Row > 0 {
		s += ", row " + strconv.Itoa(w.Row)
	}
	return s
}
