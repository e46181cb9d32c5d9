package rows

import (
	"math"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Featured rows carry one of the two styles that are compared.
func Featured(r *Row) bool {
	return r.Style == casebook.SoftwareSuggested || r.Style == casebook.ClinicianDesigned
}

// Holds reports whether a movement belongs to the cell.
func Holds(b results.By, r *Row) bool {
	return (b.Axis == casebook.NoAxis || b.Axis == r.Axis) &&
		(b.Direction == casebook.NoDirection || b.Direction == r.Direction) &&
		(b.Tooth == 0 || b.Tooth == r.Tooth) &&
		(b.ToothClass == casebook.NoClass || b.ToothClass == r.Class) &&
		(b.Arch == casebook.NoArch || b.Arch == r.Arch) &&
		(b.Style == casebook.NoStyle || b.Style == r.Style) &&
		(b.Course == "" || b.Course == r.Stratum())
}

var unlogged casebook.Case

// Log is the case record of a row, all blank where the log lacks the case.
func (p *Set) Log(r *Row) *casebook.Case {
	if c := p.Cases[r.Cluster].Log; c != nil {
		return c
	}
	return &unlogged
}

// WearBefore is how well aligners were worn where the sheet says that this was recorded
// before the outcome could be known, else not recorded: what is judged afterwards may
// follow from the outcome and adjusts nothing.
func (p *Set) WearBefore(r *Row) casebook.Wear {
	if c := p.Log(r); c.WearRecorded == casebook.BeforeOutcome {
		return c.Wear
	}
	return casebook.NoWear
}

// CaseCounter counts distinct cases of rows that come case by case.
type CaseCounter struct{ N, last int }

// Add counts the case of one row.
func (c *CaseCounter) Add(cluster int) {
	if c.N == 0 || c.last != cluster {
		c.N, c.last = c.N+1, cluster
	}
}

// Meaningful reports a plan at or above the smallest meaningful amount.
func (p *Set) Meaningful(m *casebook.Movement) bool {
	return math.Abs(m.Planned) >= p.Settings.Smallest(m.Axis.Unit())
}

// Way names the direction of one row, or its axis where its size alone was recorded.
func (r *Row) Way() string {
	if r.Movement.SizeOnly {
		return r.Axis.String()
	}
	return r.Direction.String()
}
