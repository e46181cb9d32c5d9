package casesheet

import (
	"fmt"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// timeline lays out the courses, also those only the movements name.
func (m *sheetMaker) timeline(c *rows.Patient, own []*casebook.Movement) {
	byNumber := map[int]*results.SheetCourse{}
	for i := range c.Courses {
		k := &c.Courses[i]
		byNumber[k.Number] = &results.SheetCourse{
			Number: k.Number, Start: k.Start, Planned: k.AlignersPlanned.Value, Used: k.AlignersUsed.Value,
		}
	}
	teeth := map[[2]int]bool{}
	for _, mv := range own {
		k := byNumber[mv.Course]
		if k == nil {
			k = &results.SheetCourse{Number: mv.Course}
			byNumber[mv.Course] = k
		}
		if at := [2]int{mv.Course, int(mv.Tooth)}; !teeth[at] && mv.Planned != 0 {
			teeth[at] = true
			k.Teeth++
		}
		k.Measured = k.Measured || mv.Achieved.OK
	}
	for _, k := range byNumber {
		m.sheet.Courses = append(m.sheet.Courses, *k)
	}
	slices.SortFunc(m.sheet.Courses, func(a, b results.SheetCourse) int { return a.Number - b.Number })
	months, start := 0, m.sheet.Start
	for i := range m.sheet.Courses {
		if k := &m.sheet.Courses[i]; k.Start != 0 && k.Start < start {
			start = k.Start
		}
	}
	if start != m.sheet.Start {
		m.sheet.Warnings = append(m.sheet.Warnings, results.Warning{
			ID: "course-before-case", Text: "a course begins before the case does: the timeline counts from that course",
			Remedy: "check both months in the case log",
		})
	}
	for i := range m.sheet.Courses {
		k := &m.sheet.Courses[i]
		if start != 0 && k.Start != 0 {
			k.From = int(k.Start - start)
		} else {
			k.From = months
		}
		if w := rows.WornMonths(c, k.Number); w.Source != rows.NoExposure {
			k.Length = max(1, int(w.Months+0.5))
		}
		months = k.From + k.Length
	}
	if m.sheet.Start == 0 {
		m.sheet.Warnings = append(m.sheet.Warnings, results.Warning{
			ID: "no-start", Text: "the start month is not recorded: the timeline counts from the first course",
			Remedy: "record the start month in the case log",
		})
	}
}

// CountLost counts features (one a tooth and course) recorded as lost; nil where nobody
// recorded whether any was.
func CountLost(own []*casebook.Movement) *int {
	lost, recorded := map[[2]int]bool{}, false
	for _, mv := range own {
		recorded = recorded || mv.Lost.OK
		if mv.Lost.OK && mv.Lost.Value {
			lost[[2]int{mv.Course, int(mv.Tooth)}] = true
		}
	}
	if !recorded {
		return nil
	}
	return new(len(lost))
}

// lowBand is the rank below which a movement is worth a question.
const lowBand = 0.1

// Questions are prompts for discussion, made from what the sheet shows;
// they ask and never advise.
func Questions(s *results.CaseSheet) []string {
	var q []string
	ask := func(format string, args ...any) { q = append(q, fmt.Sprintf(format, args...)) }
	var low, against, bigRefined, combined, lost int
	for i := range s.Movements {
		m := &s.Movements[i]
		if m.Band.Cases > 0 && float64(m.Band.Rank) < lowBand {
			low++
			combined += measure.OneIf(m.Staging == casebook.Combined)
			lost += measure.OneIf(m.Lost)
		}
		against += measure.OneIf(m.AgainstTable && m.Outside)
		bigRefined += measure.OneIf(m.Again && m.StyleBefore == 0 && m.Course > 1)
	}
	if low > 0 {
		ask("%s among the lowest tenth of this practice's own results: was there a reason on the day (tracking, contact, wear, a lost attachment)?", movementsWere(low))
	}
	if combined > 0 {
		ask("%d of these shared an aligner with another movement of the same tooth: would they have been planned one after another today?", combined)
	}
	if lost > 0 {
		ask("%d of these lost the attachment during the course: when was it noticed, and was it bonded again?", lost)
	}
	if against > 0 {
		ask("%s outside tolerance and carried an attachment whose long edge goes against the practice's table: was that meant?", movementsWere(against))
	}
	if bigRefined > 0 {
		ask("%s planned a third time or more under the same style: what spoke for keeping it?", movementsWere(bigRefined))
	}
	if s.Changes > 0 {
		ask("The style was changed %s: what was the reason, and did the next course bear it out?", times(s.Changes))
	}
	if s.Planned > s.Measured {
		ask("%d of %d planned movements have no outcome on record: is it known how they ended?", s.Planned-s.Measured, s.Planned)
	}
	switch {
	case len(q) > 0:
	case s.Measured == 0:
		ask("No movement with a plan and an outcome is on record: is the record of this case complete?")
	default:
		ask("Nothing in this case stands out against the practice's own results: what went well, and would it be planned the same way again?")
	}
	return q
}

func movementsWere(n int) string {
	if n == 1 {
		return "One movement was"
	}
	return fmt.Sprintf("%d movements were", n)
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}
