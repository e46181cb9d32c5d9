// Package trail lists what stands behind a number of an audit: the movements that it counts,
// those of a step of the flow, or cases.
//
// Place in the pipeline: below cmd/page, which shows the lists; it reads a query, results
// and the trail of the audit behind them, and knows no requests.
package trail

import (
	"html/template"
	"net/url"
	"strconv"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/cmd/page/address"
	"shortfall/ingest/casebook"
)

// Lists are those of one audit.
type Lists struct {
	Results  *results.Results
	Trail    *audit.Trail // nil where the results leave the practice
	Practice string       // the address of the practice's page
}

// View is what stands behind a number.
type View struct {
	What    string
	Begun   string
	Twice   bool // each movement in two courses
	Count   int
	Cases   int
	Steps   []Step
	From    int
	Before  string
	After   string
	Verdict template.HTML
	Back    string
}

// Movements lists those of the cell that an address names, or of its path from one style to
// the next; by is the cell.
func (l *Lists) Movements(q url.Values) (v *View, by results.By, err error) {
	if by, err = address.Cell(q); err != nil {
		return nil, by, err
	}
	v = &View{What: wording.Capital(wording.NamesOf(l.Results).Cell(by)), Begun: q.Get("begun")}
	var steps []audit.Step
	if had := q.Get("had"); had != "" {
		from, err := casebook.ParseStyle(had)
		if err != nil {
			return nil, by, err
		}
		steps, v.Cases = l.Trail.Path(by.Axis, from, by.Style)
		v.What, v.Twice = wording.Capital(by.Axis.String())+": fell short with "+wording.Style(from)+", next course "+wording.Style(by.Style), true
		v.Count = len(steps) / 2
	} else {
		if q.Has("planned-from") || q.Has("planned-below") {
			steps, v.Cases = l.Trail.Sized(by, address.Size(q, "planned-from"), address.Size(q, "planned-below"))
			v.What += ", plans of one size"
		} else {
			steps, v.Cases = l.Trail.Movements(by, q.Get("begun"))
		}
		v.Count = len(steps)
	}
	l.page(v, steps, q)
	return v, by, nil
}

// Flow lists the movements at a step of the flow, or those that leave it there.
func (l *Lists) Flow(q url.Values) (*View, bool) {
	if !l.InFlow(q) {
		return nil, false
	}
	step, leave := address.FlowStep(q)
	of := l.Results.Flow.Steps[step]
	v := &View{What: of.Title}
	if leave {
		v.What = of.Excluded[0].Reason
	}
	var steps []audit.Step
	steps, v.Cases = l.Trail.Flow(step, leave)
	v.Count = len(steps)
	l.page(v, steps, q)
	return v, true
}

// InFlow reports a step of the flow of which the movements can be listed.
func (l *Lists) InFlow(q url.Values) bool {
	step, leave := address.FlowStep(q)
	return l.Trail != nil && step < len(l.Results.Flow.Steps) && l.Trail.InFlow(step, leave)
}

// page puts a part of the movements into the view.
func (l *Lists) page(v *View, steps []audit.Step, q url.Values) {
	v.Back = l.Back(q)
	from, _ := strconv.Atoi(q.Get("from-row"))
	v.From = max(0, min(from, len(steps)))
	for _, x := range steps[v.From:min(len(steps), v.From+mostSteps)] {
		v.Steps = append(v.Steps, l.step(x))
	}
	turn := func(to int) string {
		q.Set("from-row", strconv.Itoa(to))
		return "?" + q.Encode()
	}
	if v.From > 0 {
		v.Before = turn(max(0, v.From-mostSteps))
	}
	if v.From+mostSteps < len(steps) {
		v.After = turn(v.From + mostSteps)
	}
}

// Back is where the audit stands.
func (l *Lists) Back(q url.Values) string {
	return l.Practice + "/audit?" + address.Kept(q).Encode()
}
