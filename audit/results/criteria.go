package results

import (
	"shortfall/ingest/casebook"
)

// Measure is what a criterion looks at.
type Measure string

// The measures a criterion can name.
const (
	OutsideTolerance Measure = "outside tolerance" // share of movements, 0 to 1
	ExpressionRatio  Measure = "expression"        // ratio of sums, 1 = all that was planned
	MeanShortfallOf  Measure = "mean shortfall"    // in the unit of the axis
	CasesRefined     Measure = "cases refined"     // share of cases refined within so many months of their start
)

// Criteria is what a practice declares before it audits again: targets,
// protocol changes and actions.
type Criteria struct {
	File      string           `toml:"-" json:"file,omitempty"`
	Version   int              `toml:"version" json:"version"`
	Criteria  []Criterion      `toml:"criterion" json:"criteria,omitempty"`
	Changes   []ProtocolChange `toml:"change" json:"changes,omitempty"`
	ActionsOf []Action         `toml:"action" json:"actions,omitempty"`
	// Primary is the one comparison of styles declared beforehand; nil: none.
	Primary *PrimaryQuestion `toml:"primary" json:"primary,omitempty"`
}

// PrimaryQuestion is a comparison of styles declared before the courses that
// answer it have ended.
type PrimaryQuestion struct {
	Direction  casebook.Direction  `toml:"direction" json:"direction"`
	ToothClass casebook.ToothClass `toml:"tooth_class" json:"tooth_class,omitzero"`
	Arch       casebook.Arch       `toml:"arch" json:"arch,omitzero"`
	Course     CourseStratum       `toml:"course" json:"course,omitzero"` // initial where none is given
	// Declared is the month of the declaration: later courses count.
	Declared casebook.Month `toml:"declared" json:"declared"`
	// Looks are the months at which it is judged; they share its level.
	Looks []casebook.Month `toml:"looks" json:"looks,omitempty"`
}

// By is the cell of the question.
func (q *PrimaryQuestion) By() By {
	by := By{Axis: q.Direction.Axis(), Direction: q.Direction, ToothClass: q.ToothClass, Arch: q.Arch, Course: q.Course}
	if by.Course == "" {
		by.Course = Initial
	}
	return by
}

// Criterion is one target. The zero of a field takes in all; exactly one of
// AtMost and AtLeast is given.
type Criterion struct {
	Name       string              `toml:"name" json:"name"`
	Measure    Measure             `toml:"measure" json:"measure"`
	Axis       casebook.Axis       `toml:"axis" json:"axis,omitzero"`
	Direction  casebook.Direction  `toml:"direction" json:"direction,omitzero"`
	ToothClass casebook.ToothClass `toml:"tooth_class" json:"tooth_class,omitzero"`
	Arch       casebook.Arch       `toml:"arch" json:"arch,omitzero"`
	Style      casebook.Style      `toml:"style" json:"style,omitzero"`
	Course     CourseStratum       `toml:"course" json:"course,omitzero"`
	// Within is the horizon of "cases refined" in months from the start of treatment;
	// 0: the one of the settings.
	Within int `toml:"within" json:"within,omitempty"`
	// From leaves out courses that started earlier; zero: all of them.
	From    casebook.Month `toml:"from" json:"from,omitzero"`
	AtMost  *float64       `toml:"at_most" json:"at_most,omitempty"`
	AtLeast *float64       `toml:"at_least" json:"at_least,omitempty"`
	// Baseline names the quarters ("2025 Q1") the run chart's centre and limits come from.
	Baseline []string `toml:"baseline" json:"baseline,omitempty"`
	Source   string   `toml:"source" json:"source,omitempty"` // who set the target, or where it is from
}

// ProtocolChange is something the practice does differently from a month on.
type ProtocolChange struct {
	Month       casebook.Month `toml:"month" json:"month"` // first month under the new protocol
	Description string         `toml:"description" json:"description"`
	Criteria    []string       `toml:"criteria" json:"criteria,omitempty"` // names; empty: all
}

// Action is something to be done, by whom, and when it is audited again.
type Action struct {
	What      string         `toml:"what" json:"what"`
	Owner     string         `toml:"owner" json:"owner,omitempty"` // a code or role, not a name
	Due       casebook.Month `toml:"due" json:"due,omitzero"`
	Reaudit   casebook.Month `toml:"reaudit" json:"reaudit,omitzero"`
	Criterion string         `toml:"criterion" json:"criterion,omitempty"`
}

// AxisMeant the criterion is about, from the axis or the direction.
func (k *Criterion) AxisMeant() casebook.Axis {
	if k.Direction != 0 {
		return k.Direction.Axis()
	}
	return k.Axis
}

// Horizon of "cases refined" in months.
func (k *Criterion) Horizon(s *Settings) int {
	if k.Within > 0 {
		return k.Within
	}
	return s.Questions.HorizonMonths
}

// By is the cell the criterion looks at.
func (k *Criterion) By() By {
	return By{Axis: k.AxisMeant(), Direction: k.Direction, ToothClass: k.ToothClass, Arch: k.Arch, Style: k.Style, Course: k.Course}
}

func (k *Criterion) Target() float64 {
	if k.AtMost != nil {
		return *k.AtMost
	}
	return *k.AtLeast
}

// IsShare reports a measure between 0 and 1 by construction.
func (k *Criterion) IsShare() bool { return k.Measure == OutsideTolerance || k.Measure == CasesRefined }
