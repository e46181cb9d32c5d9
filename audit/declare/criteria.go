// Package declare reads what a practice declares in files of its own: criteria
// with targets, protocol changes and actions, and the table of orientations.
//
// Place in the pipeline: cmd reads the files through it into the settings of an
// audit; errors name file, line and remedy.
package declare

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"

	"github.com/pelletier/go-toml/v2"
)

var measures = []results.Measure{results.OutsideTolerance, results.ExpressionRatio, results.MeanShortfallOf, results.CasesRefined}

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

# [primary]                     # the one comparison of styles asked beforehand
# direction = "extrusion"
# tooth_class = "incisor"       # optional, as are arch and course
# declared = "2026-01"          # only courses that ended later count for it
# looks = ["2026-06", "2026-12"] # optional: audits that judge it share its level

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
func ParseCriteria(name string, data []byte) (*results.Criteria, error) {
	c := &results.Criteria{}
	if err := strictTOML(name, data, c); err != nil {
		return nil, err
	}
	c.File = name
	if err := CheckCriteria(c); err != nil {
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

// checkPrimary wants a movement and the month of the declaration, before every look.
func checkPrimary(q *results.PrimaryQuestion) error {
	switch {
	case q == nil:
		return nil
	case q.Direction == 0:
		return errors.New("primary: needs a direction, such as extrusion")
	case q.Declared == 0:
		return errors.New("primary: needs declared, the month (YYYY-MM) in which it was declared: only courses that ended later count")
	case q.Course != "" && q.Course != results.Initial && q.Course != results.Refinement:
		return fmt.Errorf("primary: course %q: expected initial or refinement", q.Course)
	}
	for i, m := range q.Looks {
		if m <= q.Declared || i > 0 && m <= q.Looks[i-1] {
			return fmt.Errorf("primary: looks must follow the declaration, in order: %v does not", m)
		}
	}
	return nil
}

// CheckCriteria refuses criteria that say nothing or contradict themselves.
func CheckCriteria(c *results.Criteria) error {
	if c.Version != 1 {
		return fmt.Errorf("version %d: this program reads version = 1", c.Version)
	}
	if err := checkPrimary(c.Primary); err != nil {
		return err
	}
	names := map[string]bool{}
	for i := range c.Criteria {
		k := &c.Criteria[i]
		if err := checkCriterion(k); err != nil {
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
		if err := checkBaselines(c, &ch); err != nil {
			return fmt.Errorf("change %d: %w", i+1, err)
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

// checkBaselines refuses a baseline with quarters before a change and quarters at or
// after it: its centre would be that of no protocol.
func checkBaselines(c *results.Criteria, ch *results.ProtocolChange) error {
	for i := range c.Criteria {
		k := &c.Criteria[i]
		if len(ch.Criteria) > 0 && !slices.Contains(ch.Criteria, k.Name) {
			continue
		}
		before, after := "", ""
		for _, q := range k.Baseline {
			first, err := casebook.ParseQuarter(q)
			if err != nil {
				return err // checkCriterion has seen it before
			}
			if first < ch.Month {
				before = q
			}
			if first+2 >= ch.Month {
				after = q
			}
		}
		if before != "" && after != "" {
			return fmt.Errorf("the change of %v lies inside the baseline of %q (%s to %s): give quarters that end before it, or only quarters from it on", ch.Month, k.Name, k.Baseline[0], k.Baseline[len(k.Baseline)-1])
		}
	}
	return nil
}

var quarterForm = regexp.MustCompile(`^\d{4} Q[1-4]$`)

func checkCriterion(k *results.Criterion) error {
	switch {
	case strings.TrimSpace(k.Name) == "":
		return errors.New("needs a name")
	case !slices.Contains(measures, k.Measure):
		return fmt.Errorf("measure %q: expected one of %q", k.Measure, measures)
	case (k.AtMost == nil) == (k.AtLeast == nil):
		return errors.New("needs exactly one of at_most and at_least")
	case k.Course != "" && k.Course != results.Initial && k.Course != results.Refinement:
		return fmt.Errorf("course %q: expected initial or refinement", k.Course)
	case k.Axis != 0 && k.Direction != 0 && k.Direction.Axis() != k.Axis:
		return fmt.Errorf("%v is not a direction of the axis %v: give one of the two", k.Direction, k.Axis)
	case k.Measure == results.MeanShortfallOf && k.AxisMeant() == 0:
		return errors.New("a mean shortfall needs an axis or a direction: millimetres and degrees are never averaged")
	case k.Within != 0 && k.Measure != results.CasesRefined:
		return errors.New("within is the horizon of cases refined: leave it out here")
	case k.Within < 0 || k.Within > 120:
		return fmt.Errorf("within %d months: expected 1 to 120", k.Within)
	case k.Measure == results.CasesRefined && (k.By() != results.By{}):
		return errors.New("cases refined is counted over whole cases: leave out axis, direction, tooth class, arch, style and course")
	}
	for _, q := range k.Baseline {
		if !quarterForm.MatchString(q) {
			return fmt.Errorf(`baseline %q: expected quarters such as "2025 Q1"`, q)
		}
	}
	t := k.Target()
	if share := k.Measure == results.OutsideTolerance || k.Measure == results.CasesRefined; share && !(t >= 0 && t <= 1) {
		return fmt.Errorf("target %v: a share is between 0 and 1 (30 %% is 0.30)", t)
	}
	if k.Measure == results.ExpressionRatio && t > mostExpression {
		return fmt.Errorf("target %v: is it %v %% or %v %% of the plan? Expression is a ratio, 1 is all that was planned: write %v for %v %%", t, t, 100*t, t/100, t)
	}
	return nil
}

// mostExpression is the largest target of expression that can be meant as a ratio: twice
// the plan.
const mostExpression = 2
