package rows

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// fate of a movement on its way to the analysis; each movement has exactly one.
type fate uint8

// The fates, in the order in which movements leave the flow.
const (
	OtherClinician fate = iota // of a clinician who was not asked for
	AfterPeriod                // in a course begun after the period
	NotEnded                   // in a course that has no month of end, or had not ended
	OutsidePeriod              // in a course that ended before the period
	Broken                     // planned or achieved is not a finite number
	NothingPlanned             // nothing planned
	BelowSmallest              // plan below the smallest meaningful amount
	PercentageOnly             // only a percentage the practice computed itself
	CutShort                   // in a course whose aligners were not all used
	Unmeasured                 // no outcome
	Analysed
)

// departures name the flow step before which each fate leaves, and why.
var departures = []struct {
	fate      fate
	step      string
	ID, cause string
}{
	{OtherClinician, "Movements on record", "other-clinician", "Of other clinicians, or without one on record"},
	{AfterPeriod, "Of the clinician", "after-period", "In a course begun after the period"},
	{NotEnded, "Begun by then", results.CourseNotEnded, "Course not ended by then, or no month of its end on record"},
	{OutsidePeriod, "Course ended", "outside-period", "Course ended before the period"},
	{Broken, "Of the period", "not-a-number", "Planned or achieved is not a finite number"},
	{NothingPlanned, "With numbers that can be read", "not-planned", "Nothing was planned along this axis (see unplanned movement)"},
	{BelowSmallest, "Planned", "below-smallest-plan", "Plan below the smallest meaningful amount"},
	{PercentageOnly, "Planned, of meaningful size", results.PercentageOnly, "Only a percentage computed by the practice, no measured outcome"},
	{CutShort, "Planned, not as a percentage alone", "course-cut-short", "Course cut short: its plan was never tried in full"},
	{Unmeasured, "Planned, course used in full or use not recorded", results.OutcomeMissing, "Outcome not measured"},
}

// ID names the exclusion of a fate; "" for the analysed.
func (f fate) ID() string {
	for _, d := range departures {
		if d.fate == f {
			return d.ID
		}
	}
	return ""
}

// cutShort reports a course of which fewer aligners were used than the settings
// ask for. Where use is not recorded nothing is assumed.
func cutShort(k *casebook.Course, s *results.Settings) bool {
	return k.AlignersPlanned.OK && k.AlignersUsed.OK && k.AlignersPlanned.Value > 0 &&
		float64(k.AlignersUsed.Value) < s.MinAlignersUsed*float64(k.AlignersPlanned.Value)
}

// UseUnknown counts the courses with an analysed movement, and those of them of which
// it is not on record how many of their aligners were used: whether they were cut
// short cannot be told.
func (p *Set) UseUnknown() (unknown, courses int) {
	last, number := -1, -1
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if n := max(r.Movement.Course, 1); r.Cluster != last || n != number {
			last, number = r.Cluster, n
			courses++
			if !p.useKnown(last, n) {
				unknown++
			}
		}
	}
	return unknown, courses
}

func (p *Set) useKnown(cluster, course int) bool {
	for _, k := range p.Cases[cluster].Courses {
		if k.Number == course {
			return k.AlignersPlanned.OK && k.AlignersPlanned.Value > 0 && k.AlignersUsed.OK
		}
	}
	return false
}

// CutShort reports a movement of a course that was cut short.
func (p *Set) CutShort(cluster, course int) bool {
	for i := range p.Cases[cluster].Courses {
		if k := &p.Cases[cluster].Courses[i]; k.Number == max(course, 1) {
			return cutShort(k, &p.Settings)
		}
	}
	return false
}

// Fate decides where a movement of a case goes.
func (p *Set) Fate(m *casebook.Movement, cluster int) fate {
	if f, out := p.periodFate(cluster, m.Course); out {
		return f
	}
	f := FateOf(m, &p.Settings)
	if (f == Analysed || f == Unmeasured) && p.CutShort(cluster, m.Course) {
		return CutShort
	}
	return f
}

// FateOf decides where a movement goes, but for courses that were cut short.
func FateOf(m *casebook.Movement, s *results.Settings) fate {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case !finite(m.Planned) || m.Achieved.OK && !finite(m.Achieved.Value):
		return Broken
	case m.Planned == 0:
		return NothingPlanned
	case math.Abs(m.Planned) < s.Smallest(m.Axis.Unit()):
		return BelowSmallest
	case m.Achieved.OK:
		return Analysed
	case m.StatedPercent.OK:
		return PercentageOnly
	}
	return Unmeasured
}

// countFlow counts the steps from rows read to movements analysed. One reason
// leaves at each step, so movements and cases both reconcile: a case leaves at
// the step at which its last movement leaves.
func (p *Set) countFlow(fates []fate, clusters []int) {
	f := &p.Flow
	for _, file := range p.Dataset.Files {
		if file.LaterVersion != "" {
			f.EarlierVersions++
			continue
		}
		f.Rows = f.Rows.Add(file.Counts())
	}
	f.Superseded, f.CasesLogged = p.Dataset.Superseded, len(p.Dataset.Cases)
	f.CasesByStatus = countStatuses(p.Dataset.Cases)
	last := make([]int, len(p.Cases)) // the furthest fate of each case, +1
	var movements, cases [Analysed + 1]int
	gone := map[casebook.CaseKey]fate{}
	for _, r := range p.removed {
		movements[r.fate]++
		gone[r.key] = max(gone[r.key], r.fate)
	}
	for i, ft := range fates {
		movements[ft]++
		last[clusters[i]] = max(last[clusters[i]], int(ft)+1)
	}
	for i, l := range last {
		if l > 0 {
			cases[l-1]++
			delete(gone, p.Cases[i].Key) // it leaves later
		}
	}
	for _, f := range gone {
		cases[f]++
	}
	left, leftCases := len(fates)+len(p.removed), 0
	for _, n := range cases {
		leftCases += n
	}
	for _, d := range departures {
		if !p.asked(d.fate) {
			continue
		}
		step := results.FlowStep{Title: d.step, Movements: left, Cases: leftCases}
		if n := movements[d.fate]; n > 0 {
			step.Excluded = []results.Exclusion{{ID: d.ID, Reason: p.reason(d.fate, d.cause), Movements: n, Cases: cases[d.fate]}}
			p.Excluded = append(p.Excluded, step.Excluded...)
		}
		left, leftCases = left-movements[d.fate], leftCases-cases[d.fate]
		f.Steps = append(f.Steps, step)
		p.Stages = append(p.Stages, int(d.fate))
	}
	p.Gone = gone
	f.Steps[0].Title = departures[0].step
	p.styleSteps(left, leftCases)
}

// Stage is the step of the flow, as in Stages, at which a movement of the dataset leaves,
// or the last one: the analysed go on by the style of their attachment.
func (p *Set) Stage(m *casebook.Movement, cluster int) int {
	f := p.Fate(m, cluster)
	switch {
	case f < Analysed, m.Style == casebook.NoStyle:
		return int(f)
	case m.Style == casebook.StyleNone:
		return int(Analysed) + 1
	}
	return int(Analysed) + 2
}

// Listed reports a step of the flow of which every movement is in the dataset still: what
// other clinicians did, or what began after the period, is counted alone.
func (p *Set) Listed(stage int) bool { return len(p.removed) == 0 || stage > int(AfterPeriod) }

// reason adds the threshold to the reasons that have one.
func (p *Set) reason(f fate, cause string) string {
	if f == CutShort {
		return cause + p.shortExpression(true)
	}
	if f == BelowSmallest {
		return fmt.Sprintf("%s (%g mm, %g°)", cause, p.Settings.SmallestMM, p.Settings.SmallestDeg)
	}
	return cause
}

// CutShortReason is the reason of courses cut short without what they expressed, which
// could be that of a few cases.
func (p *Set) CutShortReason() string {
	for _, d := range departures {
		if d.fate == CutShort {
			return d.cause + p.shortExpression(false)
		}
	}
	return ""
}

// shortExpression says how much was used of courses cut short and, with shares, what
// they expressed all the same, apart by unit: they are a stratum of their own.
func (p *Set) shortExpression(shares bool) string {
	var planned, achieved [casebook.UnitCount + 1]float64
	for i := range p.Short {
		r := &p.Short[i]
		if !math.IsNaN(r.Achieved) {
			planned[r.Unit()], achieved[r.Unit()] = planned[r.Unit()]+r.Planned, achieved[r.Unit()]+r.Achieved
		}
	}
	s := fmt.Sprintf(" (fewer than %s %% of its aligners used", round.Text(100*p.Settings.MinAlignersUsed, 0))
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		if planned[u] > 0 && shares {
			s += fmt.Sprintf("; %s %% of %s planned expressed all the same", round.Text(100*achieved[u]/planned[u], 0),
				map[casebook.Unit]string{casebook.Millimetre: "millimetres", casebook.Degree: "degrees"}[u])
		}
	}
	return s + ")"
}

// styleSteps counts what the analysed movements can say about feature styles.
func (p *Set) styleSteps(movements, cases int) {
	var without, none [2]int // movements, cases that leave
	for i := range p.Cases {
		c := &p.Cases[i]
		var n [3]int // no style recorded, no feature, feature
		for j := c.From; j < c.To; j++ {
			switch p.Analysed[j].Style {
			case casebook.NoStyle:
				n[0]++
			case casebook.StyleNone:
				n[1]++
			default:
				n[2]++
			}
		}
		without[0], none[0] = without[0]+n[0], none[0]+n[1]
		switch {
		case n[2] > 0:
		case n[1] > 0:
			none[1]++
		case n[0] > 0:
			without[1]++
		}
	}
	p.addStep("Analysed: planned and outcome measured", &movements, &cases, without, "style-not-recorded", "Attachment style not recorded")
	p.addStep("Analysed, attachment style recorded", &movements, &cases, none, "no-feature", "No attachment bonded, so no style to compare")
	p.addStep("Analysed, with a software-suggested or clinician-designed attachment", &movements, &cases, [2]int{}, "", "")
}

func (p *Set) addStep(title string, movements, cases *int, leave [2]int, id, reason string) {
	step := results.FlowStep{Title: title, Movements: *movements, Cases: *cases}
	if leave[0] > 0 {
		step.Excluded = []results.Exclusion{{ID: id, Reason: reason, Movements: leave[0], Cases: leave[1]}}
	}
	p.Flow.Steps = append(p.Flow.Steps, step)
	p.Stages = append(p.Stages, p.Stages[len(p.Stages)-1]+1)
	*movements, *cases = *movements-leave[0], *cases-leave[1]
}

func countStatuses(cases []casebook.Case) []results.StatusCount {
	var n [casebook.StatusCount + 1]int
	for i := range cases {
		n[cases[i].Status]++
	}
	var out []results.StatusCount
	for _, st := range append(casebook.Statuses(), casebook.NoStatus) {
		if n[st] > 0 {
			out = append(out, results.StatusCount{Status: st, Cases: n[st]})
		}
	}
	return out
}
