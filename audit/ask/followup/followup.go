// Package followup asks how many cases need a refinement, and how many refinements,
// within so many months of their start.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results. Completed cases alone would answer it wrongly: the
// quick ones complete first.
package followup

import (
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/events"
	"shortfall/ingest/casebook"
)

// customary horizons in months, kept where the data hold them.
var customary = []int{12, 18, 24}

// Causes of the first event.
const (
	refined = 1
	ended   = 2 // completed, discontinued, switched or transferred without a refinement
)

// Followed are the cases that are followed; left counts the others.
func Followed(p *rows.Set) (out []rows.History, left []results.Exclusion) {
	out, left = p.Histories()
	return slices.DeleteFunc(out, func(h rows.History) bool {
		return !p.CohortInPeriod(h.Start, p.Settings.Questions.HorizonMonths)
	}), left
}

// answer follows the cases.
func answer(p *rows.Set) results.FollowUp {
	histories, left := Followed(p)
	out := results.FollowUp{Cases: len(histories), Left: left, Ended: endings(histories), Warnings: undated(left, len(histories) == 0)}
	for i := range histories {
		out.LastLook = max(out.LastLook, p.LastLook(histories[i].Patient))
	}
	need := p.Settings.MinIntervalCases
	months := horizons(p, histories)
	if len(months) == 0 {
		few := results.Warning{
			ID: "few-followed", Text: "fewer than ten cases have been followed for a year or more, or to their end",
			Remedy: "record status, start, end and when courses begin",
		}
		if need != 10 {
			few.Text = "too few cases have been followed for long enough"
		}
		if !undatedMostly(out.Warnings) {
			out.Warnings = append(out.Warnings, few)
		}
		return out
	}
	first, again := firstEvents(histories), recurrences(histories)
	if err := fill(p, &out, first, again, months); err != nil {
		out.At, out.Curve = nil, nil
		out.Warnings = append(out.Warnings, measure.NotEstimated(err))
	}
	return out
}

// Warnings of refinements that have no month.
const (
	someUndated = "refined-cases-left-out"
	mostUndated = "refinements-undated" // there is nothing to follow
)

// undated says which cases are not followed because refinements have no month: such a
// case was refined, and must not pass for one that was not. None: no case is followed.
func undated(left []results.Exclusion, none bool) []results.Warning {
	cases := map[string]int{}
	for _, l := range left {
		cases[l.ID] = l.Cases
	}
	id := someUndated
	switch {
	case cases[rows.UndatedRefinement] == 0:
		return nil
	case cases[rows.UnrefinedLeft] > 0 || none:
		id = mostUndated
	}
	return []results.Warning{undatedWarning(id, wording.Of(cases[rows.UndatedRefinement], "refined case"))}
}

func undatedWarning(id, who string) results.Warning {
	w := results.Warning{
		ID: id, Text: who + " left out, of which a refinement has no month: the share refined is a little too low",
		Remedy: "record the month in which each refinement began",
	}
	if id == mostUndated {
		w.Text = who + " left out, of which a refinement has no month; those never refined cannot speak for all, and are left out too"
	}
	return w
}

func undatedMostly(ws []results.Warning) bool {
	return slices.ContainsFunc(ws, func(w results.Warning) bool { return w.ID == mostUndated })
}

// horizons keeps those until which enough cases are known; where none of the
// customary ones is held, the longest whole quarter that is.
func horizons(p *rows.Set, hs []rows.History) (out []int) {
	known := func(months int) int {
		n := 0
		for i := range hs {
			n += measure.OneIf(!hs[i].Open() || hs[i].End >= float64(months))
		}
		return n
	}
	// What happened to cases that ended early says little about a time that few were
	// open to see, so the open ones are asked for too.
	reached := func(months int) bool {
		n := 0
		for i := range hs {
			n += measure.OneIf(p.LastLook(hs[i].Patient)-hs[i].Start >= casebook.Month(months))
		}
		return n >= p.Settings.MinIntervalCases && known(months) >= p.Settings.MinIntervalCases
	}
	for _, m := range customary {
		if reached(m) {
			out = append(out, m)
		}
	}
	if len(out) == 0 {
		for m := 9; m >= 3; m -= 3 {
			if reached(m) {
				return []int{m}
			}
		}
	}
	return out
}

func firstEvents(hs []rows.History) (f events.FirstEvents) {
	for i := range hs {
		h := &hs[i]
		at, cause := h.End, ended
		switch {
		case len(h.Refined) > 0:
			at, cause = h.Refined[0], refined
		case h.Open():
			cause = 0
		}
		f.Time, f.Cause = append(f.Time, at), append(f.Cause, cause)
	}
	return f
}

func recurrences(hs []rows.History) (r events.Recurrences) {
	for i := range hs {
		h := &hs[i]
		r.Events, r.End, r.Final = append(r.Events, h.Refined), append(r.End, h.End), append(r.Final, !h.Open())
	}
	return r
}

func fill(p *rows.Set, out *results.FollowUp, first events.FirstEvents, again events.Recurrences, months []int) error {
	last := months[len(months)-1]
	every := make([]float64, last)
	for i := range every {
		every[i] = float64(i + 1)
	}
	level := p.Settings.Level
	inc, err := events.Incidence(first, refined, every, level)
	if err != nil {
		return err
	}
	other, err := events.Incidence(first, ended, every, level)
	if err != nil {
		return err
	}
	count, err := events.MeanCount(again, every, level)
	if err != nil {
		return err
	}
	for i := range every {
		out.Curve = append(out.Curve, results.CurveStep{
			Month: i + 1, Refined: measure.OrMissing(inc[i].Value), Low: measure.OrMissing(inc[i].Low), High: measure.OrMissing(inc[i].High),
			Count: measure.OrMissing(count[i].Value),
		})
	}
	for _, m := range months {
		i := m - 1
		out.At = append(out.At, results.Horizon{
			Months: m, Refined: measure.Spread(inc[i].Estimate), Ended: measure.OrMissing(other[i].Value), Count: measure.Spread(count[i].Estimate),
			KnownCases: inc[i].Known, OpenCases: count[i].AtRisk,
		})
	}
	out.Method = inc[last-1].Method
	return nil
}

func endings(hs []rows.History) []results.Ending {
	n := map[casebook.Status]int{}
	for i := range hs {
		n[hs[i].Status]++
	}
	var out []results.Ending
	for _, s := range casebook.Statuses() {
		if n[s] > 0 {
			out = append(out, results.Ending{Status: s.String(), Cases: n[s]})
		}
	}
	return out
}
