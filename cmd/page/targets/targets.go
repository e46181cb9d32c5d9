// Package targets reads the form in which a practice declares its targets, changes of
// protocol, actions and the comparison asked beforehand, and says what it offers.
//
// Place in the pipeline: below cmd/page; a form becomes the criteria of audit/results, which
// audit/declare checks and writes.
package targets

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Measure is one as a person calls it.
type Measure struct {
	Word results.Measure
	Text string
}

// Measures that a target can be of.
func Measures() []Measure {
	return []Measure{
		{results.OutsideTolerance, "share of movements outside tolerance"},
		{results.ExpressionRatio, "achieved, share of the plan (expression)"},
		{results.MeanShortfallOf, "mean shortfall, mm or degrees"},
		{results.CasesRefined, "share of cases refined"},
	}
}

// Options are the words of each part of a cell, in print order.
func Options() map[string][]string {
	out := map[string][]string{"course": {string(results.Initial), string(results.Refinement)}, "arch": {casebook.Upper.String(), casebook.Lower.String()}}
	for _, d := range casebook.Directions() {
		out["direction"] = append(out["direction"], d.String())
	}
	for _, a := range casebook.Axes() {
		out["axis"] = append(out["axis"], a.String())
	}
	for _, c := range casebook.ToothClasses() {
		out["tooth_class"] = append(out["tooth_class"], c.String())
	}
	for _, x := range casebook.Styles() {
		out["style"] = append(out["style"], x.String())
	}
	return out
}

// Text is the value of a target as a person types it: a share in percent.
func Text(k results.Criterion) string {
	v := k.AtMost
	if v == nil {
		v = k.AtLeast
	}
	switch {
	case v == nil:
		return ""
	case k.Measure == results.MeanShortfallOf:
		return fmt.Sprint(*v)
	}
	return strconv.FormatFloat(*v*100, 'g', 12, 64) + " %"
}

// Of reads the form: rows of one kind are numbered from 0, and one whose first field is
// empty, or was cleared, is left out. What cannot be read is named; the rest is in the criteria
// all the same, so that nothing typed is lost.
func Of(f url.Values) (*results.Criteria, error) {
	c := &results.Criteria{Version: 1}
	x := reader{f: f}
	for i := 0; f.Has(fmt.Sprintf("criterion %d name", i)); i++ {
		x.row = fmt.Sprintf("criterion %d ", i)
		k := results.Criterion{Name: x.text("name"), Measure: results.Measure(x.text("measure")), Course: results.CourseStratum(x.text("course")), Source: x.text("source")}
		x.enum("direction", &k.Direction)
		x.enum("axis", &k.Axis)
		x.enum("tooth_class", &k.ToothClass)
		x.enum("arch", &k.Arch)
		x.enum("style", &k.Style)
		x.enum("from", &k.From)
		k.Within = x.whole("within")
		for q := range strings.SplitSeq(x.text("baseline"), ",") {
			if q = strings.TrimSpace(q); q != "" {
				k.Baseline = append(k.Baseline, q)
			}
		}
		side := x.text("side")
		if v := x.number("value"); side == "at_least" || side == "" && k.Measure == results.ExpressionRatio { // more of the plan is better, less of all else
			k.AtLeast = v
		} else {
			k.AtMost = v
		}
		if x.begun("name", "value", "from", "within", "baseline", "source") {
			c.Criteria = append(c.Criteria, k)
		}
	}
	x.changes(c)
	x.actions(c)
	x.primary(c)
	return c, x.err
}

func (x *reader) changes(c *results.Criteria) {
	for i := 0; x.f.Has(fmt.Sprintf("change %d description", i)); i++ {
		x.row = fmt.Sprintf("change %d ", i)
		ch := results.ProtocolChange{Description: x.text("description"), Criteria: x.f[x.row+"criteria"]}
		x.enum("month", &ch.Month)
		if ch.Description != "" || ch.Month != 0 {
			c.Changes = append(c.Changes, ch)
		}
	}
}

func (x *reader) actions(c *results.Criteria) {
	for i := 0; x.f.Has(fmt.Sprintf("action %d what", i)); i++ {
		x.row = fmt.Sprintf("action %d ", i)
		a := results.Action{What: x.text("what"), Owner: x.text("owner"), Criterion: x.text("criterion")}
		x.enum("due", &a.Due)
		x.enum("reaudit", &a.Reaudit)
		if x.begun("what", "owner", "due", "reaudit") {
			c.ActionsOf = append(c.ActionsOf, a)
		}
	}
}

func (x *reader) primary(c *results.Criteria) {
	x.row = "primary "
	if !x.begun("direction", "declared", "looks") {
		return
	}
	q := &results.PrimaryQuestion{Course: results.CourseStratum(x.text("course"))}
	x.enum("direction", &q.Direction)
	x.enum("tooth_class", &q.ToothClass)
	x.enum("arch", &q.Arch)
	x.enum("declared", &q.Declared)
	for v := range strings.SplitSeq(x.text("looks"), ",") {
		if v = strings.TrimSpace(v); v != "" {
			m, err := casebook.ParseMonth(v)
			x.note("looks", err)
			q.Looks = append(q.Looks, m)
		}
	}
	c.Primary = q
}
