// Package intime sets a later part of the records against the earlier one: a quarter
// against all before it, what is new against what an earlier audit had seen.
//
// Place in the pipeline: it reads a rows.Set and gives a results.InTime; the question of
// the quarter and the comparison with an earlier audit are made of it. Everything that
// is compared is one family for the correction, so that a stretch of time in which
// nothing changed is called a change in no more than alpha of audits.
package intime

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/events"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// Side is the part of the records that something belongs to.
type Side uint8

// The parts; what is in neither is left out.
const (
	Neither Side = iota
	Before
	Now
)

// SetFrom compares the rows whose courses ended before a month with those that ended then
// or later. A later course that took longer than any that could have ended before is in
// neither part, and a warning counts them.
func SetFrom(p *rows.Set, name string, month casebook.Month, cohort func(*rows.History) Side) *results.InTime {
	could, left, undated := between.CouldEndBefore(p, month), 0, 0
	side := func(r *rows.Row) Side {
		switch end := p.CourseEnd(r.Cluster, r.Movement.Course); {
		case end == 0 || !could(r):
			return Neither
		case end < month:
			return Before
		}
		return Now
	}
	for i := range p.Analysed {
		r := &p.Analysed[i]
		end := p.CourseEnd(r.Cluster, r.Movement.Course)
		left += measure.OneIf(!could(r) && end >= month)
		undated += measure.OneIf(end != 0 && !p.EndOnRecord(r.Cluster, r.Movement.Course))
	}
	out := Set(p, name, side, cohort)
	if undated > 0 {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: results.EndNotRecorded, Text: fmt.Sprintf("the month in which %s of courses that were followed by another one ended is not on record; they count in the month by which they had, when a later course began or the case ended", wording.Of(undated, "movement")),
			Remedy: "record when each later course begins",
		})
	}
	if left > 0 {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "took-longer", Text: fmt.Sprintf("%s of %s took longer from the start of treatment than records before could show, and are in neither part", wording.Of(left, "movement"), name),
			Remedy: "compare them when the records are older",
		})
	}
	return out
}

// Set compares the analysed rows of the two parts by direction over all teeth and by
// course, and the cohorts of cases that the second function tells apart, nil where
// none can be. Name is what the later part is called.
func Set(p *rows.Set, name string, row func(*rows.Row) Side, cohort func(*rows.History) Side) *results.InTime {
	out := &results.InTime{Now: results.Stretch{Name: name}, Before: results.Stretch{Name: "before"}}
	sides := make([]Side, len(p.Analysed))
	for i := range p.Analysed {
		sides[i] = row(&p.Analysed[i])
	}
	out.SharedCases = stretches(p, sides, &out.Before, &out.Now)
	out.Before.Achieved, out.Now.Achieved = achieved(p, sides, Before), achieved(p, sides, Now)
	isNow := func(r *rows.Row) bool { return row(r) == Now }
	by, which := between.CellsByDirection(p, func(r *rows.Row) bool { return row(r) != Neither })
	for i := range by {
		if slices.ContainsFunc(which[i], func(j int32) bool { return sides[j] == Now }) {
			out.Cells = append(out.Cells, between.InTime(p, by[i], which[i], isNow))
		}
	}
	if cohort != nil {
		out.Refined = cohorts(p, name, cohort)
	}
	judge(&p.Settings, out)
	return out
}

// achieved is what initial courses of a part came to, apart by unit.
func achieved(p *rows.Set, sides []Side, of Side) []results.UnitAchieved {
	return grid.Achieved(p, func(i int) bool { return sides[i] == of })
}

// stretches counts the cases and movements of both parts and their months of end, and
// gives the number of cases in both.
func stretches(p *rows.Set, sides []Side, before, now *results.Stretch) (shared int) {
	last := [2]int{-1, -1}
	both := -1
	for i, side := range sides {
		if side == Neither {
			continue
		}
		s, k := before, 0
		if side == Now {
			s, k = now, 1
		}
		r := &p.Analysed[i]
		s.Movements++
		if last[k] != r.Cluster {
			last[k] = r.Cluster
			s.Cases++
		}
		if last[0] == last[1] && both != r.Cluster {
			both = r.Cluster
			shared++
		}
		extend(s, p.CourseEnd(r.Cluster, r.Movement.Course))
	}
	return shared
}

func extend(s *results.Stretch, m casebook.Month) {
	if m == 0 {
		return
	}
	if s.From == 0 || m < s.From {
		s.From = m
	}
	s.To = max(s.To, m)
}

// Horizon by which cases refined are compared.
func Horizon(p *rows.Set) int { return p.Settings.Questions.HorizonMonths }

// Mature reports a case that was looked at as long after its start as the horizon asks.
func Mature(p *rows.Set, h *rows.History) bool {
	return int(p.LastLook(h.Patient)-h.Start) >= Horizon(p)
}

// cohorts compares cases with a complete history up to the horizon.
func cohorts(p *rows.Set, name string, side func(*rows.History) Side) *results.CohortChange {
	histories, _ := p.Histories()
	months := Horizon(p)
	out := &results.CohortChange{Months: months, Before: results.Stretch{Name: "before"}, Now: results.Stretch{Name: name}}
	var refined [2]int
	var counts [2]events.Recurrences
	for i := range histories {
		h := &histories[i]
		at := side(h)
		if at == Neither {
			continue
		}
		if !Mature(p, h) {
			out.OpenCases += measure.OneIf(at == Now)
			continue
		}
		s, k := &out.Before, 0
		if at == Now {
			s, k = &out.Now, 1
		}
		s.Cases++
		extend(s, h.Start)
		refined[k] += measure.OneIf(h.RefinedBy(months))
		c := &counts[k]
		c.Events, c.End, c.Final = append(c.Events, h.Refined), append(c.End, h.End), append(c.Final, !h.Open())
	}
	if out.Now.Cases == 0 && out.OpenCases == 0 {
		return nil
	}
	share := func(k, n int) results.Number { return measure.OrMissing(float64(refined[k]) / float64(n)) }
	out.Share = between.NoChange(share(0, out.Before.Cases), share(1, out.Now.Cases))
	out.Count = between.NoChange(results.NotEstimable, results.NotEstimable)
	s := &p.Settings
	if min(out.Before.Cases, out.Now.Cases) < s.MinIntervalCases {
		out.Warnings = append(out.Warnings, between.FewOnOneSide(s.MinIntervalCases))
		return out
	}
	e := prop.ShareDifference(refined[1], out.Now.Cases, refined[0], out.Before.Cases, s.Level)
	out.Share.Low, out.Share.High, out.Share.P = measure.OrMissing(e.Low), measure.OrMissing(e.High), measure.OrMissing(e.P)
	countChange(&out.Count, counts, months, s.Level)
	return out
}

// countChange is the mean cumulative count of the two cohorts; it is shown beside the
// share and judged by nothing of its own.
func countChange(c *results.MeasureChange, of [2]events.Recurrences, months int, level float64) {
	at := []float64{float64(months)}
	before, errB := events.MeanCount(of[0], at, level)
	now, errN := events.MeanCount(of[1], at, level)
	d, err := events.MeanCountDifference(of[1], of[0], at, level)
	if errB != nil || errN != nil || err != nil {
		return
	}
	*c = between.NoChange(measure.OrMissing(before[0].Value), measure.OrMissing(now[0].Value))
	c.Low, c.High = measure.OrMissing(d[0].Low), measure.OrMissing(d[0].High)
}

// judge corrects the P values after Holm, over everything that is compared.
func judge(s *results.Settings, t *results.InTime) {
	var all []*results.MeasureChange
	for i := range t.Cells {
		all = append(all, &t.Cells[i].MeasureChange)
	}
	if t.Refined != nil {
		all = append(all, &t.Refined.Share)
	}
	all = slices.DeleteFunc(all, func(m *results.MeasureChange) bool { return !m.P.OK() })
	ps := make([]float64, len(all))
	for i, m := range all {
		ps[i] = float64(m.P)
	}
	for i, p := range decide.Holm(ps) {
		all[i].PAdjusted = measure.OrMissing(p)
		all[i].Changed = !math.IsNaN(p) && p < s.Alpha
	}
}
