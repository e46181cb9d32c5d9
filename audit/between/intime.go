package between

import (
	"fmt"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// InTime sets the movements of a cell that belong to a later part of the records against
// the others, between patients, with the model of the two-group questions: adjusted for
// what was recorded but the month of start, and for the time that treatment had taken; a
// case with movements in both parts is one unit of the clustered variance. P is the larger
// of those with and without that time, not yet corrected, and none where it is not on
// record for most.
func InTime(p *rows.Set, by results.By, which []int32, now func(*rows.Row) bool) results.CellChange {
	arena := borrow(p)
	defer giveBack(p, arena)
	two := arms(p, which, now, arena)
	c := results.CellChange{
		By: by, CasesBefore: two[0].Cases, CasesAfter: two[1].Cases, MovementsBefore: two[0].Movements, MovementsAfter: two[1].Movements,
		MeasureChange: NoChange(two[0].Expression, two[1].Expression),
	}
	if need := p.Settings.MinIntervalCases; min(c.CasesBefore, c.CasesAfter) < need {
		c.Warnings = append(c.Warnings, FewOnOneSide(need))
		return c
	}
	plain := &Grouping{Group: now, Without: "start month"}
	g, known := *plain, takenKnown(p, which)
	if known {
		g.Further = func(b *AdjusterBuilder) {
			b.Number(timeTaken, func(r *rows.Row) (float64, bool) { return taken(p, r) })
			b.bend(timeTaken)
		}
	} else {
		c.Warnings = append(c.Warnings, results.Warning{
			ID: "length-not-known", Text: "how long treatment took is not on record for most, so a change cannot be told: what ends soon after the records begin are the quick courses, and that alone can look like one",
			Remedy: "record the month in which treatment started",
		})
	}
	fit := FitGroups(p, which, &g)
	if fit.Failed != nil {
		why := *fit.Failed
		why.Remedy = "read a longer part of the records"
		c.Warnings = append(c.Warnings, why)
		return c
	}
	d := fit.adjusted
	c.Change, c.Low, c.High, c.P = d.Difference, d.Low, d.High, d.P
	c.Adjusters, c.Warnings = fit.adjusters, append(c.Warnings, fit.warnings...)
	if c.P = results.NotEstimable; known {
		c.P = largerP(d, FitGroups(p, which, plain).adjusted)
	}
	return c
}

const timeTaken = "months from the start of treatment"

// taken is the time from the start of treatment to the end of the course, in months.
// Courses that end soon after the records begin are the quick ones, and those may be of
// patients who respond well: with them alone before, a later part looks worse though
// nothing changed. Whether a course could end before depends on the start of treatment
// and on this time alone, not on its own length: where poor responders take longer in
// their initial courses, those whose refinements end early are the quick ones too.
// Among courses that took alike nothing is left of it.
func taken(p *rows.Set, r *rows.Row) (months float64, ok bool) {
	start, end := p.CourseStart(r.Cluster, 1), p.CourseEnd(r.Cluster, r.Movement.Course)
	return float64(end - start), start != 0 && end != 0
}

// takenKnown reports that most rows have that time on record.
func takenKnown(p *rows.Set, which []int32) bool {
	known := 0
	for _, i := range which {
		_, ok := taken(p, &p.Analysed[i])
		known += measure.OneIf(ok)
	}
	return 2*known >= len(which)
}

// startsSeen is how many months of starts the records must hold for a time to be
// compared: of courses that took so long, those of a quarter could have ended before.
const startsSeen = 3

// CouldEndBefore tells the movements whose course could have ended before a month, by the
// time that its treatment took and the first start on record in its practice: of those
// that take longer there are none before, whatever they achieve. One whose times are not
// on record could.
func CouldEndBefore(p *rows.Set, month casebook.Month) func(*rows.Row) bool {
	first := map[string]casebook.Month{}
	for i := range p.Cases {
		c := &p.Cases[i]
		if m := p.CourseStart(i, 1); m != 0 && (first[c.Key.Practice] == 0 || m < first[c.Key.Practice]) {
			first[c.Key.Practice] = m
		}
	}
	return func(r *rows.Row) bool {
		months, ok := taken(p, r)
		return !ok || months <= float64(month-first[p.Cases[r.Cluster].Key.Practice]-startsSeen)
	}
}

// largerP asks a change to stand with and without the time taken, which a change may have
// altered itself.
func largerP(a, b results.Difference) results.Number {
	switch {
	case !b.P.OK():
		return results.NotEstimable
	case (a.Difference > 0) != (b.Difference > 0):
		return 1
	}
	return max(a.P, b.P)
}

// NoChange is a measure then and now without anything said of the difference.
func NoChange(before, after results.Number) results.MeasureChange {
	n := results.NotEstimable
	return results.MeasureChange{Before: before, After: after, Change: measure.OrMissing(float64(after - before)), Low: n, High: n, P: n, PAdjusted: n}
}

// FewOnOneSide is the warning of a difference in time that has no interval.
func FewOnOneSide(need int) results.Warning {
	return results.Warning{ID: "few-cases-in-arm", Text: fmt.Sprintf("fewer than %d cases on one side: no interval", need), Remedy: "read a longer part of the records"}
}
