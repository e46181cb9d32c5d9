// Package quarter asks what a quarter changed against everything before it.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills its
// part of results.Results. It asks nothing where the settings name no quarter.
package quarter

import (
	"fmt"

	"shortfall/audit/intime"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Answer sets the courses that ended in the quarter against those that ended before, and
// the cases that reached the horizon in it against those that reached it before.
func Answer(p *rows.Set) *results.InTime {
	per := p.Settings.Period
	if per.Quarter == 0 {
		return nil
	}
	name := per.Quarter.Quarter()
	if p.Undated {
		w := *p.PeriodWarning()
		return &results.InTime{
			Now: results.Stretch{Name: name}, Before: results.Stretch{Name: "before"}, Warnings: []results.Warning{w},
			Sentences: []string{"No month is on record, so " + name + " cannot be told from what came before: completed cases and courses are counted as they are, all together."},
		}
	}
	horizon := intime.Horizon(p)
	out := intime.SetFrom(p, name, per.Quarter, func(h *rows.History) intime.Side {
		switch {
		case !p.CohortInPeriod(h.Start, horizon):
			return intime.Neither
		case int(h.Start)+horizon >= int(per.Quarter):
			return intime.Now
		}
		return intime.Before
	})
	intime.Say(out, &p.Settings, p.Names)
	out.Warnings = append(out.Warnings, changeWarnings(p)...)
	return out
}

// changeWarnings says where the quarter holds courses of more than one protocol.
func changeWarnings(p *rows.Set) (out []results.Warning) {
	per, c := p.Settings.Period, p.Settings.Questions.Criteria
	if c == nil {
		return nil
	}
	for _, ch := range c.Changes {
		if ch.Month > per.Last() {
			continue
		}
		earlier, all := 0, 0
		for i := range p.Analysed {
			r := &p.Analysed[i]
			if p.CourseEnd(r.Cluster, r.Movement.Course) < per.Quarter {
				continue
			}
			all++
			if p.CourseStart(r.Cluster, r.Movement.Course) < ch.Month {
				earlier++
			}
		}
		if earlier > 0 {
			out = append(out, results.Warning{
				ID: "begun-before-change", Text: fmt.Sprintf("%d of %s of the quarter are of courses begun before the protocol change of %v, or without a month of their start", earlier, wording.Of(all, "movement"), ch.Month),
				Remedy: "read the protocol change before and after by the month courses began",
			})
		}
	}
	return out
}
