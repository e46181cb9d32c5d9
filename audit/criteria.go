package audit

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"shortfall/ingest/casebook"
)

// Measure is what a criterion looks at.
type Measure string

// The measures a criterion can name.
const (
	OutsideTolerance Measure = "outside tolerance" // share of movements, 0 to 1
	ExpressionRatio  Measure = "expression"        // ratio of sums, 1 = all that was planned
	MeanShortfallOf  Measure = "mean shortfall"    // in the unit of the axis
	CasesRefined     Measure = "cases refined"     // share of finished cases with a refinement
)

var measures = []Measure{OutsideTolerance, ExpressionRatio, MeanShortfallOf, CasesRefined}

// Criteria is what a practice declares before it audits again: targets,
// protocol changes and actions.
type Criteria struct {
	File      string           `toml:"-" json:"file,omitempty"`
	Version   int              `toml:"version" json:"version"`
	Criteria  []Criterion      `toml:"criterion" json:"criteria,omitempty"`
	Changes   []ProtocolChange `toml:"change" json:"changes,omitempty"`
	ActionsOf []Action         `toml:"action" json:"actions,omitempty"`
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

// CriteriaExample is a criteria file to start from.
const CriteriaExample = `# What this practice audits itself against. Months are YYYY-MM, shares 0 to 1.
version = 1

[[criterion]]
name = "Extrusion of upper incisors"
measure = "outside tolerance"   # or "expression", "mean shortfall", "cases refined"
direction = "extrusion"         # or axis = "vertical"
tooth_class = "incisor"
arch = "upper"
course = "initial"              # or "refinement"
from = "2026-01"                # optional: courses from this month on
at_most = 0.30                  # exactly one of at_most and at_least
baseline = ["2025 Q1", "2025 Q2", "2025 Q3", "2025 Q4"]
source = "agreed in the practice meeting"

[[change]]
month = "2026-01"               # the first month under the new protocol
description = "extrusion of incisors sequenced after derotation"
criteria = ["Extrusion of upper incisors"]

[[action]]
what = "review the staging of incisor extrusion with both clinicians"
owner = "clinical lead"         # a role or a code, not a name
due = "2026-06"
reaudit = "2026-09"
criterion = "Extrusion of upper incisors"
`

// ParseCriteria reads a criteria file. name is the base name used in errors,
// which name the line and the remedy; an unknown key is an error.
func ParseCriteria(name string, data []byte) (*Criteria, error) {
	c := &Criteria{}
	if err := strictTOML(name, data, c); err != nil {
		return nil, err
	}
	c.File = name
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

// strictTOML decodes data into v and turns the library's errors into located
// ones: "criteria.toml, line 4: unknown key ...".
func strictTOML(name string, data []byte, v any) error {
	d := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	err := d.Decode(v)
	var strict *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		e := &strict.Errors[0]
		line, _ := e.Position()
		return fmt.Errorf("%s, line %d: unknown key %q: compare with the example file", name, line, strings.Join(e.Key(), "."))
	case errors.As(err, &bad):
		line, _ := bad.Position()
		return fmt.Errorf("%s, line %d: %w", name, line, bad)
	}
	return fmt.Errorf("%s: %w", name, err)
}

func (c *Criteria) check() error {
	if c.Version != 1 {
		return fmt.Errorf("version %d: this program reads version = 1", c.Version)
	}
	names := map[string]bool{}
	for i := range c.Criteria {
		k := &c.Criteria[i]
		if err := k.check(); err != nil {
			return fmt.Errorf("criterion %d: %w", i+1, err)
		}
		if names[k.Name] {
			return fmt.Errorf("criterion %d: the name %q is used twice: give each its own", i+1, k.Name)
		}
		names[k.Name] = true
	}
	for i, ch := range c.Changes {
		if ch.Month == 0 || strings.TrimSpace(ch.Description) == "" {
			return fmt.Errorf("change %d: needs a month (YYYY-MM) and a description", i+1)
		}
		for _, n := range ch.Criteria {
			if !names[n] {
				return fmt.Errorf("change %d: no criterion is named %q: write the name as above", i+1, n)
			}
		}
	}
	for i, a := range c.ActionsOf {
		switch {
		case strings.TrimSpace(a.What) == "":
			return fmt.Errorf("action %d: says nothing to do: fill in what", i+1)
		case a.Criterion != "" && !names[a.Criterion]:
			return fmt.Errorf("action %d: no criterion is named %q: write the name as above", i+1, a.Criterion)
		}
	}
	return nil
}

var quarterForm = regexp.MustCompile(`^\d{4} Q[1-4]$`)

func (k *Criterion) check() error {
	switch {
	case strings.TrimSpace(k.Name) == "":
		return errors.New("needs a name")
	case !slices.Contains(measures, k.Measure):
		return fmt.Errorf("measure %q: expected one of %q", k.Measure, measures)
	case (k.AtMost == nil) == (k.AtLeast == nil):
		return errors.New("needs exactly one of at_most and at_least")
	case k.Course != "" && k.Course != Initial && k.Course != Refinement:
		return fmt.Errorf("course %q: expected initial or refinement", k.Course)
	case k.Axis != 0 && k.Direction != 0 && k.Direction.Axis() != k.Axis:
		return fmt.Errorf("%v is not a direction of the axis %v: give one of the two", k.Direction, k.Axis)
	case k.Measure == MeanShortfallOf && k.axis() == 0:
		return errors.New("a mean shortfall needs an axis or a direction: millimetres and degrees are never averaged")
	case k.Measure == CasesRefined && (k.by() != By{}):
		return errors.New("cases refined is counted over whole cases: leave out axis, direction, tooth class, arch, style and course")
	}
	for _, q := range k.Baseline {
		if !quarterForm.MatchString(q) {
			return fmt.Errorf(`baseline %q: expected quarters such as "2025 Q1"`, q)
		}
	}
	t := k.target()
	if share := k.Measure == OutsideTolerance || k.Measure == CasesRefined; share && !(t >= 0 && t <= 1) {
		return fmt.Errorf("target %v: a share is between 0 and 1 (30 %% is 0.30)", t)
	}
	return nil
}

// axis the criterion is about, from the axis or the direction.
func (k *Criterion) axis() casebook.Axis {
	if k.Direction != 0 {
		return k.Direction.Axis()
	}
	return k.Axis
}

// by is the cell the criterion looks at.
func (k *Criterion) by() By {
	return By{Axis: k.axis(), Direction: k.Direction, ToothClass: k.ToothClass, Arch: k.Arch, Style: k.Style, Course: k.Course}
}

func (k *Criterion) target() float64 {
	if k.AtMost != nil {
		return *k.AtMost
	}
	return *k.AtLeast
}
