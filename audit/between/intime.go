package between

import (
	"fmt"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// InTime sets the movements of a cell that belong to a later part of the records against
// the others, between patients, with the model of the two-group questions: adjusted for
// what was recorded but the month of start, and for the length of the course; a case with
// movements in both parts is one unit of the clustered variance. P is the larger of those
// with and without that length, not yet corrected.
func InTime(p *rows.Set, by results.By, which []int32, now func(*rows.Row) bool) results.CellChange {
	two := arms(p, which, now)
	c := results.CellChange{
		By: by, CasesBefore: two[0].Cases, CasesAfter: two[1].Cases, MovementsBefore: two[0].Movements, MovementsAfter: two[1].Movements,
		MeasureChange: NoChange(two[0].Expression, two[1].Expression),
	}
	if need := p.Settings.MinIntervalCases; min(c.CasesBefore, c.CasesAfter) < need {
		c.Warnings = append(c.Warnings, FewOnOneSide(need))
		return c
	}
	plain := &Grouping{Group: now, Without: "start month"}
	g, known := *plain, lengthKnown(p, which)
	if known {
		g.Further = func(b *AdjusterBuilder) { b.Number("length of the course", courseLength(p)) }
	} else {
		c.Warnings = append(c.Warnings, results.Warning{
			ID: "length-not-known", Text: "how long courses took is not on record for most: those that end soon after the records begin are the quick ones, and that alone can look like a change",
			Remedy: "record when courses begin",
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
	if known {
		c.P = largerP(d, FitGroups(p, which, plain).adjusted)
	}
	return c
}

// courseLength of a row in months. Courses that end soon after the records begin are the
// quick ones, and those may be of patients who respond well: with them alone before, a
// later part looks worse though nothing changed. Among courses of like length it does not.
func courseLength(p *rows.Set) func(*rows.Row) (float64, bool) {
	return func(r *rows.Row) (float64, bool) {
		start, end := p.CourseStart(r.Cluster, r.Movement.Course), p.CourseEnd(r.Cluster, r.Movement.Course)
		return float64(end - start), start != 0 && end != 0
	}
}

// lengthKnown reports that most rows have the length of their course on record.
func lengthKnown(p *rows.Set, which []int32) bool {
	length, known := courseLength(p), 0
	for _, i := range which {
		_, ok := length(&p.Analysed[i])
		known += measure.OneIf(ok)
	}
	return 2*known >= len(which)
}

// largerP asks a change to stand with and without the length of the course, which a
// change may have altered itself.
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
