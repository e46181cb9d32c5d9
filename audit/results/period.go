package results

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// Period says which of the records an audit is about. The zero value takes all of them.
//
// A course belongs to the month in which it ended: that of the next one's start, else
// that of the end of its case. Whatever is dated after the last month is not known yet:
// a case that ended later was under treatment, a course begun later was not there.
type Period struct {
	// From and To are the first and the last month, both of the period; 0: open.
	From casebook.Month `json:"from,omitzero"`
	To   casebook.Month `json:"to,omitzero"`
	// Quarter is the first month of the quarter that is set against everything before
	// it, from From on; it ends the period. 0: nothing is set against anything.
	Quarter casebook.Month `json:"quarter,omitzero"`
	// Clinician takes the cases of one clinician, by code; where two practices use the
	// code, with the practice's before it: "P2 K1". "": all.
	Clinician string `json:"clinician,omitempty"`
}

// monthsPerQuarter of a calendar quarter.
const monthsPerQuarter = 3

// Limited reports that courses are taken by the month in which they ended.
func (p Period) Limited() bool { return p.From != 0 || p.Last() != 0 }

// Last month of the period; 0: open.
func (p Period) Last() casebook.Month {
	if p.Quarter != 0 {
		return p.Quarter + monthsPerQuarter - 1
	}
	return p.To
}

// Holds reports whether a month lies in the period; an unknown one lies in none.
func (p Period) Holds(m casebook.Month) bool {
	return m != 0 && m >= p.From && (p.Last() == 0 || m <= p.Last())
}

// Check refuses a period that holds no month or names its end twice.
func (p Period) Check() error {
	switch {
	case p.Quarter != 0 && p.To != 0:
		return fmt.Errorf("a quarter and a last month: the quarter ends the period, leave %v out", p.To)
	case p.Quarter != 0 && int(p.Quarter)%monthsPerQuarter != 0:
		return fmt.Errorf("quarter from %v on: expected the first month of a quarter", p.Quarter)
	case p.Quarter != 0 && p.From >= p.Quarter:
		return fmt.Errorf("from %v: nothing is left before the quarter from %v on to set it against", p.From, p.Quarter)
	case p.To != 0 && p.From > p.To:
		return fmt.Errorf("from %v to %v: the first month lies after the last", p.From, p.To)
	}
	return nil
}
