package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/intime"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// changeAsked reports a quarter to be set against what was before, or an earlier audit.
func (t *teller) changeAsked() bool {
	return t.r.Questions.Quarter != nil || t.r.Questions.Since != nil
}

// changePage says what the quarter changed, and what is new since an earlier audit.
func (t *teller) changePage() results.FrontPage {
	var p results.FrontPage
	if !t.changeAsked() {
		return p
	}
	p.Lead = intime.Limits
	say := func(s string) { p.Statements = append(p.Statements, results.Statement{Text: s}) }
	if s := t.r.Questions.Since; s != nil {
		p.Title = "What changed since the audit of " + s.PreviousDate
		for _, line := range s.Sentences {
			say(line)
		}
	}
	if q := t.r.Questions.Quarter; q != nil {
		p.Title = q.Now.Name + " against everything before it"
		if t.r.Questions.Since != nil {
			p.Title += ", and what is new"
			for i := range p.Statements {
				p.Statements[i].Text = "Since the audit of " + t.r.Questions.Since.PreviousDate + ": " + p.Statements[i].Text
			}
		}
		if len(q.Sentences) == 0 {
			say("Nothing that ended in " + q.Now.Name + " can be set against what was before.")
		}
		for _, line := range q.Sentences {
			say(line)
		}
		for _, w := range q.Warnings {
			say(wording.Capital(w.Text) + ".")
		}
		if x := t.notEnded(); x != nil && !x.Suppressed {
			say(fmt.Sprintf("In neither part are %s of %s whose course has not ended, or has no month of its end on record.", wording.Of(x.Movements, "movement"), wording.Of(x.Cases, "case")))
		}
	}
	return p
}

// notEnded is what stands outside every month, nil where nothing does.
func (t *teller) notEnded() *results.Exclusion {
	for _, s := range t.r.Flow.Steps {
		for i := range s.Excluded {
			if s.Excluded[i].ID == results.CourseNotEnded {
				return &s.Excluded[i]
			}
		}
	}
	return nil
}

// monthsMissing is true where a quarter is looked at, and when some courses ended is not
// on record.
func (t *teller) monthsMissing() bool {
	q := t.r.Questions.Quarter
	return q != nil && slices.ContainsFunc(q.Warnings, func(w results.Warning) bool { return w.ID == results.EndNotRecorded })
}

// changes is the figure of the later part of the records against the earlier one: initial
// courses by direction, and what changed in later ones.
func (t *teller) changes() (f results.FrontChanges) {
	part := t.r.Questions.Quarter
	if s := t.r.Questions.Since; part == nil && s != nil {
		part = s.Records
	}
	if part == nil {
		return f
	}
	var changed []string
	few, later := 0, 0
	for i := range part.Cells {
		c := &part.Cells[i]
		switch {
		case c.By.Course != results.Initial && !c.Changed:
			later += measure.OneIf(c.Low.OK())
		case !c.Low.OK():
			few++
		default:
			row := t.changeOf(c)
			if f.Rows = append(f.Rows, row); c.Changed {
				changed = append(changed, t.changeWords(c))
			}
		}
	}
	if len(f.Rows) == 0 {
		return results.FrontChanges{}
	}
	f.Now = part.Now.Name
	f.Title = "No direction changed by more than chance"
	if len(changed) > 0 {
		f.Title = "Changed by more than chance: " + strings.Join(changed, ", ")
	}
	f.Sub = fmt.Sprintf("First set, all teeth; achieved before and, with the difference allowed for what was planned and recorded, in %s; cases before and then", f.Now)
	if few > 0 {
		f.Below = fmt.Sprintf("Not drawn: %s with fewer than %d cases on one side. ", wording.Of(few, "direction"), t.s.MinIntervalCases)
	}
	if later > 0 {
		f.Below += fmt.Sprintf("Of later sets %s can be compared; none changed. ", wording.Of(later, "direction"))
	}
	f.Below += "A line across the mark of before is within chance; another is called a change only where it allows for all that were looked at."
	return f
}

func (t *teller) changeOf(c *results.CellChange) results.FrontChange {
	name := t.rowName(c.By.Direction)
	if c.By.Course != results.Initial {
		name += ", later sets"
	}
	return results.FrontChange{
		By: c.By, Name: name, Before: c.Before, Now: c.Before + c.Change, Low: c.Before + c.Low, High: c.Before + c.High,
		Change: c.Change, ChangeLow: c.Low, ChangeHigh: c.High, CasesBefore: c.CasesBefore, CasesNow: c.CasesAfter, Changed: c.Changed,
	}
}

// changeWords is "extrusion +12 points".
func (t *teller) changeWords(c *results.CellChange) string {
	out := t.noun(c.By.Direction) + " " + wording.Points(c.Change) + " points"
	if c.By.Course != results.Initial {
		out += " in later sets"
	}
	return out
}
