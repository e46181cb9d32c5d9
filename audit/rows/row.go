package rows

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// Row is one movement prepared for analysis. Planned is positive and achieved
// is measured along the planned direction, both in the unit of the axis.
type Row struct {
	Movement  *casebook.Movement // in the dataset; never changed
	Cluster   int                // index into prepared.cases; the patient is the unit
	Planned   float64
	Achieved  float64 // NaN where the outcome was not measured (prepared.missing only)
	Axis      casebook.Axis
	Direction casebook.Direction
	Tooth     casebook.Tooth
	Class     casebook.ToothClass
	Arch      casebook.Arch
	Style     casebook.Style
	Staging   casebook.Staging
	First     bool // of the initial course
	Doubt     casebook.Doubt
	Method    casebook.Method // in which the outcome was measured
	Course    int16           // 1 is the initial one; numbers beyond the type stay at its largest
	earlier   int32           // place of the row before it in Set.followed, +1; 0: none
}

// Stratum of the course the row belongs to.
func (r *Row) Stratum() results.CourseStratum {
	if r.First {
		return results.Initial
	}
	return results.Refinement
}

// Unit of planned and achieved.
func (r *Row) Unit() casebook.Unit { return r.Axis.Unit() }

// Shortfall is planned minus achieved; negative means overshoot.
func (r *Row) Shortfall() float64 { return r.Planned - r.Achieved }

// Expression is achieved over planned.
func (r *Row) Expression() float64 { return r.Achieved / r.Planned }

// Beyond reports an amount beyond the tolerance. Both are compared in hundredths, as they
// stand in a sheet: 1.1 less 0.6 is 0.5 on paper and a little more in binary fractions.
func Beyond(amount float64, u casebook.Unit, s *results.Settings) bool {
	return round.HalfAway(math.Abs(amount), hundredths) > round.HalfAway(s.Tolerance(u), hundredths)
}

// hundredths are the decimals in which amounts are compared with the tolerance.
const hundredths = 2

// Outside reports a shortfall or overshoot beyond the tolerance.
func (r *Row) Outside(s *results.Settings) bool { return Beyond(r.Shortfall(), r.Unit(), s) }

// Judged reports a plan beyond the tolerance. A smaller one ends inside it where nothing
// moves at all: it stays out of the share outside and is counted beside it.
func (r *Row) Judged(s *results.Settings) bool { return Beyond(r.Planned, r.Unit(), s) }

// NewRow is a movement of a case prepared for analysis.
func NewRow(m *casebook.Movement, cluster int) Row {
	d := m.Direction()
	r := Row{
		Movement: m, Cluster: cluster, Planned: math.Abs(m.Planned), Achieved: math.NaN(),
		Axis: m.Axis, Direction: d, Tooth: m.Tooth, Class: m.Tooth.Class(), Arch: m.Tooth.Arch(),
		Style: m.Style, Staging: m.Staging, First: m.Course <= 1, Course: int16(min(max(m.Course, 1), math.MaxInt16)),
	}
	if m.Achieved.OK {
		r.Achieved = d.Sign() * m.Achieved.Value
	}
	return r
}

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
