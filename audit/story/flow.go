package story

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// flow leaves out steps that lose nothing.
func (t *teller) flow() results.FrontFlow {
	f := t.r.Flow
	out := results.FrontFlow{FrontFigure: results.FrontFigure{
		Title: fmt.Sprintf("Who is in it: %s of %s", wording.Of(t.r.Scope.Movements, "movement"), wording.Of(t.r.Scope.Cases, "case")),
		Sub:   "From rows read to movements analysed; below each step what leaves before the next",
	}}
	first := results.FrontStep{Count: wording.Of(f.Rows.Read, "row"), Title: "read"}
	for _, o := range []struct {
		n    int
		text string
	}{{f.Rows.Rejected, "rejected, reasons kept"}, {f.Rows.Blank, "empty, totals, examples"}, {f.Superseded, "corrected or completed by a later file"}} {
		if o.n > 0 {
			first.Left = append(first.Left, wording.Count(o.n)+" "+o.text)
		}
	}
	if len(first.Left) > 0 {
		first.Left = append(first.Left, otherRows(f)...)
		out.Steps = append(out.Steps, first)
	}
	for i, s := range f.Steps {
		if len(s.Excluded) == 0 && i < len(f.Steps)-1 {
			continue
		}
		step := results.FrontStep{Count: wording.Of(s.Movements, "movement"), Title: stepTitle(s.Title), Step: i + 1}
		if i == len(f.Steps)-1 && s.Movements == t.r.Scope.Movements && !strings.HasPrefix(step.Title, "analysed") {
			step.Title = "analysed, all " + step.Title // nothing left since, so that no box says it
		}
		if !s.Suppressed {
			step.Title += ", in " + wording.Of(s.Cases, "case")
		}
		for _, e := range s.Excluded {
			step.Left = append(step.Left, exclusion(e))
		}
		out.Steps = append(out.Steps, step)
	}
	return out
}

// otherRows says why the rows that were accepted are not as many as the movements.
func otherRows(f results.Flow) []string {
	switch n := f.Rows.Accepted - f.Superseded - f.Steps[0].Movements; {
	case n > 0:
		return []string{wording.Count(n) + " about cases, courses or repeated measurements"}
	case n < 0:
		return []string{"a row may hold several movements"}
	}
	return nil
}

func exclusion(e results.Exclusion) string {
	n := e.Movements
	if n == 0 {
		n = e.Rows
	}
	if text, ok := leavingWords[e.ID]; ok {
		return wording.Count(n) + " " + text
	}
	return wording.Count(n) + " " + lowerFirst(e.Reason)
}

// leavingWords fit below a box of the flow; the whole ones stand in the annexes.
var leavingWords = map[string]string{
	"other-clinician": "other clinicians'", "after-period": "begun later", "course-not-ended": "not ended, or no month of their end on record", "outside-period": "ended earlier",
	"not-planned": "nothing planned along this axis", "below-smallest-plan": "plan too small for a ratio",
	"course-cut-short": "course cut short, counted apart", "outcome-missing": "outcome not measured",
}

// stepWords fit into a box of the flow.
var stepWords = map[string]string{
	"With numbers that can be read": "that can be read", "Planned, not as a percentage alone": "planned, large enough for a ratio", "Movements on record": "on record",
	"Planned, course used in full or use not recorded": "of courses not cut short", "Analysed: planned and outcome measured": "analysed",
	"Analysed, attachment style recorded": "analysed, style on record", "Analysed, with a software-suggested or clinician-designed attachment": "with an attachment of either style",
}

func stepTitle(s string) string {
	if w, ok := stepWords[s]; ok {
		return w
	}
	return lowerFirst(s)
}

func lowerFirst(s string) string {
	for i, r := range s {
		return strings.ToLower(string(r)) + s[i+len(string(r)):]
	}
	return s
}
