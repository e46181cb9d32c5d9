package rows

import (
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// History is one case followed from the month it started.
type History struct {
	Patient int // index into Set.Cases
	Start   casebook.Month
	Refined []float64 // months from the start to each refinement, in order
	End     float64   // months to the end of treatment, or to the last look
	Status  casebook.Status
}

// Open reports a case that was still under treatment at the last look.
func (h *History) Open() bool { return h.Status == casebook.UnderTreatment }

// RefinedBy reports a refinement no later than so many months after the start.
func (h *History) RefinedBy(months int) bool {
	return len(h.Refined) > 0 && h.Refined[0] <= float64(months)
}

// Left out of the histories, and why.
const (
	noStatus = "no-status"
	noStart  = "no-start-month"
	noEnd    = "no-end-month"
	// UndatedRefinement are refined cases of which it is not known when.
	UndatedRefinement = "refinement-without-month"
	unknown           = "refinements-unknown"
	// UnrefinedLeft are cases that could be followed where many others could not for
	// want of the month of a refinement: those left are the ones that needed none.
	UnrefinedLeft = "others-undated"
	outOfOrder    = "months-out-of-order"
	// StartAhead are cases that had not been followed at all at the last look.
	StartAhead = "start-after-last-look"
)

var historyReasons = map[string]string{
	noStatus:          "No status on record, so it is not known whether the case is still open",
	noStart:           "No month of start on record",
	noEnd:             "Ended, without a month of end on record",
	UndatedRefinement: "A refinement without a month on record",
	unknown:           "Neither courses that tell refinements apart nor a count of them on record, so it is not known whether the case had one",
	UnrefinedLeft:     "Set aside, as more than one in ten of the refined cases of the practice had a refinement without a month: those with all their months are mostly the ones that needed none",
	outOfOrder:        "Months out of order: a refinement or an end before the start, or a refinement after the end",
	StartAhead:        "Starts after the last month in which a case is known to have ended or a later course to have begun, or after the day of the audit: not followed yet",
}

// Histories follows the logged cases from their start to the last look at their practice;
// left counts those that cannot be followed, by reason. Months are whole, so that what
// happens in the month of the start happens after half a month.
func (p *Set) Histories() (out []History, left []results.Exclusion) {
	counts := p.RefinementCounts()
	n, dating := map[string]int{}, map[string]*dated{}
	for i := range p.Cases {
		if p.Cases[i].Log == nil {
			continue
		}
		h, why := p.history(i, counts[i], p.LastLook(i))
		p.tally(dating, &h, why)
		if why != "" {
			n[why]++
			continue
		}
		out = append(out, h)
	}
	all := len(out)
	out = slices.DeleteFunc(out, func(h History) bool { return dating[p.Cases[h.Patient].Key.Practice].tooFew() })
	n[UnrefinedLeft] = all - len(out)
	for _, id := range []string{noStatus, noStart, noEnd, unknown, UndatedRefinement, UnrefinedLeft, outOfOrder, StartAhead} {
		if n[id] > 0 {
			left = append(left, results.Exclusion{ID: id, Reason: historyReasons[id], Cases: n[id]})
		}
	}
	return out, left
}

// mostUndated is the share of the refined cases of a practice whose refinements may have
// no month. They are left out, and with them the share refined falls, from f to
// f(1-u)/(1-fu): by less than 3 points at a tenth (our convention).
const mostUndated = 0.1

// dated counts the refined cases of a practice with and without the months.
type dated struct{ with, without int }

func (d *dated) tooFew() bool {
	return d != nil && float64(d.without) > mostUndated*float64(d.with+d.without)
}

// tally counts a refined case of the cohorts that are asked about: a practice that began
// to record months can be followed from then on.
func (p *Set) tally(of map[string]*dated, h *History, why string) {
	undated := why == UndatedRefinement
	if !undated && (why != "" || len(h.Refined) == 0) || !p.CohortInPeriod(h.Start, p.Settings.Questions.HorizonMonths) {
		return
	}
	practice := p.Cases[h.Patient].Key.Practice
	if of[practice] == nil {
		of[practice] = &dated{}
	}
	if undated {
		of[practice].without++
	} else {
		of[practice].with++
	}
}

func (p *Set) history(i int, count RefinementCount, last casebook.Month) (h History, why string) {
	log := p.Cases[i].Log
	h = History{Patient: i, Start: log.Start, Status: log.Status}
	end := log.End
	switch {
	case log.Status == casebook.NoStatus:
		return h, noStatus
	case log.Start == 0:
		return h, noStart
	case log.Start > last:
		return h, StartAhead
	case h.Open():
		end = last
	case end == 0:
		return h, noEnd
	case end > last: // after the day of the audit
		h.Status, end = casebook.UnderTreatment, last
	}
	if !count.Known {
		return h, unknown
	}
	for _, c := range p.Cases[i].Courses {
		if c.Number > 1 && c.Start > last {
			count.Refinements = min(count.Refinements, c.Number-2)
		} else if c.Number > 1 && c.Start != 0 {
			h.Refined = append(h.Refined, monthsBetween(log.Start, c.Start))
		}
	}
	slices.Sort(h.Refined)
	h.End = monthsBetween(log.Start, end)
	switch {
	case len(h.Refined) < count.Refinements:
		return h, UndatedRefinement
	case end < log.Start, len(h.Refined) > 0 && (h.Refined[0] < 0 || h.Refined[len(h.Refined)-1] > h.End):
		return h, outOfOrder
	}
	return h, ""
}

func monthsBetween(from, to casebook.Month) float64 {
	if to == from {
		return 0.5
	}
	return float64(to - from)
}

// LastLook is the last month in which anything is known to have happened in a case's
// practice: a case ended, or a later course began. A start alone shows nothing, since
// starts are entered ahead; and nothing is known after the day of the audit, where that
// is given. 0: nothing shows how long cases were followed.
func (p *Set) LastLook(i int) casebook.Month { return p.lastLooks[p.Cases[i].Key.Practice] }

func (p *Set) findLastLooks() {
	p.lastLooks = map[string]casebook.Month{}
	for i := range p.Cases {
		c := &p.Cases[i]
		m := p.lastLooks[c.Key.Practice]
		if c.Log != nil {
			m = max(m, c.Log.End)
		}
		for _, x := range c.Courses {
			if x.Number > 1 {
				m = max(m, x.Start)
			}
		}
		p.lastLooks[c.Key.Practice] = m
	}
	for practice, m := range p.lastLooks {
		if day := p.Settings.Day(); day != 0 {
			p.lastLooks[practice] = min(m, day)
		}
	}
}
