package trail

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/cmd/page/address"
	"shortfall/ingest/casebook"
)

// mostSteps of movements are on one page.
const mostSteps = 300

// Step is one movement as a table has it.
type Step struct {
	Case, CaseLink    string
	Course, Tooth     string
	Movement, Style   string
	Planned, Achieved string
	Expression        string
	Tolerance         string
	Outside           bool
}

// name of a case: its practice is said where the audit is of several.
func (l *Lists) name(k casebook.CaseKey) string {
	if in := l.Results.Scope.Practices; len(in) == 1 && in[0] == k.Practice {
		return k.ID
	}
	return k.String()
}

func (l *Lists) step(x audit.Step) Step {
	u := x.Unit()
	out := Step{
		Case: l.name(x.Case), CaseLink: l.link(x.Case), Course: courseName(x.Course), Tooth: x.Tooth.In(l.Results.Provenance.Settings.Notation), Movement: x.Direction.String(), Style: wording.Style(x.Style),
		Planned: wording.Fine(results.Number(x.Planned), u), Achieved: "not measured", Expression: wording.Dash, Tolerance: wording.Dash,
	}
	if x.Direction == casebook.NoDirection {
		out.Movement = x.Axis.String()
	}
	if math.IsNaN(x.Achieved) {
		return out
	}
	out.Achieved, out.Tolerance, out.Outside = wording.Fine(results.Number(x.Achieved), u), "within", x.Outside
	if x.Outside {
		out.Tolerance = "outside"
	}
	if x.Planned > 0 {
		out.Expression = wording.Whole(results.Number(x.Achieved / x.Planned))
	}
	return out
}

func courseName(n int) string {
	if n <= 1 {
		return "initial"
	}
	return fmt.Sprintf("refinement %d", n-1)
}

// CaseLink is the address of a case's page below that of its practice.
func CaseLink(practice string, k casebook.CaseKey) string {
	return practice + "/case?" + address.OfCase(k)
}

func (l *Lists) link(k casebook.CaseKey) string { return CaseLink(l.Practice, k) }

// Case is one case of a list.
type Case struct {
	Name, Link, Start, Status, Refinements string
}

// Cases lists those that an address names; what says which.
func (l *Lists) Cases(q url.Values) (what string, lines []Case, err error) {
	what, list := "Cases", l.Trail.Cases(q.Get("quarter"))
	if q.Has("followed") {
		what, list = "Cases followed from their start", l.Trail.Followed()
	}
	if c, in := q.Get("of-clinician"), q.Get("of-practice"); c != "" || in != "" {
		what, list = strings.TrimSpace("Cases of "+c+in), l.Trail.Of(c, in)
	}
	if v := q.Get("quarter"); v != "" {
		what = "Cases begun in " + v
	}
	if v := q.Get("refinements"); v != "" {
		n, err := strconv.Atoi(strings.TrimSuffix(v, "+"))
		if err != nil {
			return "", nil, err
		}
		style := casebook.NoStyle
		what = "Completed cases by refinements: " + v
		if main := q.Get("mainly"); main != "" {
			if style, err = casebook.ParseStyle(main); err != nil {
				return "", nil, err
			}
			what += ", first attachments mainly " + wording.Style(style)
		}
		list = l.Trail.Finished(n, strings.HasSuffix(v, "+"), style)
	}
	for _, c := range list {
		one := Case{Name: l.name(c.Case), Link: l.link(c.Case), Start: c.Start.String(), Refinements: "not known"}
		if c.Status != casebook.NoStatus {
			one.Status = c.Status.String()
		}
		if c.Known {
			one.Refinements = strconv.Itoa(c.Refinements)
		}
		lines = append(lines, one)
	}
	return what, lines, nil
}
