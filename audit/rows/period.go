package rows

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// PeriodError says why no record can be taken for the period or clinician asked for.
type PeriodError struct{ Text string }

func (e *PeriodError) Error() string { return e.Text }

// removal is a movement that left before anything was looked at.
type removal struct {
	fate fate
	key  casebook.CaseKey
}

// selected takes the records of one clinician, as they stood at the end of the period.
// The dataset stays as it was; what leaves is counted in the flow.
func (p *Set) selected(ds *casebook.Dataset) (*casebook.Dataset, error) {
	per := &p.Settings.Period
	if per.Clinician == "" && per.Last() == 0 {
		return ds, nil
	}
	own, err := clinicianCases(ds, per.Clinician)
	if err != nil {
		return nil, err
	}
	out := *ds
	later := map[casebook.CaseKey]bool{}
	out.Cases = nil
	for _, c := range ds.Cases {
		switch {
		case own != nil && !own[c.Key()]:
			continue
		case per.Last() != 0 && c.Start > per.Last():
			later[c.Key()] = true
			continue
		case per.Last() != 0 && c.End > per.Last(): // what the practice counted at its end was not known either
			c.End, c.Status, c.StatedRefinements = 0, casebook.UnderTreatment, casebook.Opt[int]{}
		}
		out.Cases = append(out.Cases, c)
	}
	begun := map[casebook.CourseKey]bool{} // later than the period
	for _, c := range ds.Courses {
		if per.Last() != 0 && c.Start > per.Last() {
			begun[c.Key()] = true
		}
	}
	why := func(k casebook.CourseKey) (fate, bool) {
		switch {
		case own != nil && !own[k.Case]:
			return OtherClinician, true
		case later[k.Case] || begun[k]:
			return AfterPeriod, true
		}
		return 0, false
	}
	out.Courses = slices.DeleteFunc(slices.Clone(ds.Courses), func(c casebook.Course) bool { _, gone := why(c.Key()); return gone })
	out.Movements = nil
	for _, m := range ds.Movements {
		if f, gone := why(casebook.CourseKey{Case: m.Case, Number: max(m.Course, 1)}); gone {
			p.removed = append(p.removed, removal{f, m.Case})
			continue
		}
		out.Movements = append(out.Movements, m)
	}
	out.Repeats = slices.DeleteFunc(slices.Clone(ds.Repeats), func(r casebook.Repeat) bool {
		_, gone := why(casebook.CourseKey{Case: r.Case, Number: max(r.Course, 1)})
		return gone
	})
	return &out, nil
}

// clinicianCases are the cases of a clinician; nil where none is named. A code that two
// practices use, or none, is an error.
func clinicianCases(ds *casebook.Dataset, code string) (map[casebook.CaseKey]bool, error) {
	if code == "" {
		return nil, nil
	}
	own := map[casebook.CaseKey]bool{}
	var found, known, practices []string
	for i := range ds.Cases {
		practices = append(practices, ds.Cases[i].Practice)
	}
	practices = distinct(practices)
	for i := range ds.Cases {
		c := &ds.Cases[i]
		if c.Clinician == "" {
			continue
		}
		name := c.Clinician
		if len(practices) > 1 && c.Practice != "" {
			name = c.Practice + " " + name
		}
		known = append(known, name)
		if strings.EqualFold(code, c.Clinician) || strings.EqualFold(code, name) {
			own[c.Key()] = true
			found = append(found, name)
		}
	}
	found, known = distinct(found), distinct(known)
	switch {
	case len(known) == 0:
		return nil, &PeriodError{fmt.Sprintf("no case has a clinician on record, so those of %s cannot be told: record the clinician of every case, or audit all of them", code)}
	case len(found) == 0:
		return nil, &PeriodError{fmt.Sprintf("no case of clinician %s is on record: give one of %s", code, strings.Join(known, ", "))}
	case len(found) > 1:
		return nil, &PeriodError{fmt.Sprintf("clinician %s is a code of more than one practice: give one of %s", code, strings.Join(found, ", "))}
	}
	return own, nil
}

func distinct(s []string) []string {
	slices.Sort(s)
	return slices.Compact(s)
}

// CourseEnd is the month in which a course of a case ended: the start of the next one,
// else the end of the case; 0 where it is not on record or has not come. Of a course that
// was followed by one without a month of its start it is the month by which it had ended,
// when a later one began or the case ended: left out, the patients who needed another
// course would be missing from all that is told by month.
func (p *Set) CourseEnd(cluster, course int) casebook.Month {
	c, course := &p.Cases[cluster], max(course, 1)
	for n := course + 1; n <= p.lastCourse[cluster]; n++ {
		if m := courseStart(c, n); m != 0 {
			return m
		}
	}
	if c.Log == nil || c.Log.Status == casebook.UnderTreatment {
		return 0
	}
	return c.Log.End
}

// EndOnRecord reports whether the month of CourseEnd is that of the course itself, and not
// of what followed.
func (p *Set) EndOnRecord(cluster, course int) bool {
	course = max(course, 1)
	return course >= p.lastCourse[cluster] || courseStart(&p.Cases[cluster], course+1) != 0
}

// CourseStart is the month in which a course began: its own, or for the initial course
// that of the case; 0 where it is not on record.
func (p *Set) CourseStart(cluster, course int) casebook.Month {
	course = max(course, 1)
	c := &p.Cases[cluster]
	if m := courseStart(c, course); m != 0 || course > 1 || c.Log == nil {
		return m
	}
	return c.Log.Start
}

func courseStart(c *Patient, number int) casebook.Month {
	for i := range c.Courses {
		if c.Courses[i].Number == number {
			return c.Courses[i].Start
		}
	}
	return 0
}

// InPeriod reports whether something that happened in a month belongs to the audit.
// Where no month is on record at all everything does, and the audit says so.
func (p *Set) InPeriod(m casebook.Month) bool {
	per := &p.Settings.Period
	return !per.Limited() || p.Undated || per.Holds(m)
}

// CohortInPeriod reports whether cases that started in a month reach the horizon in the
// period.
func (p *Set) CohortInPeriod(start casebook.Month, horizon int) bool {
	return p.InPeriod(start + casebook.Month(horizon))
}

// undated reports that no month of any case or course is on record.
func undated(ds *casebook.Dataset) bool {
	return !slices.ContainsFunc(ds.Cases, func(c casebook.Case) bool { return c.Start != 0 || c.End != 0 }) &&
		!slices.ContainsFunc(ds.Courses, func(c casebook.Course) bool { return c.Start != 0 })
}

// checkBaseline refuses to set a quarter against courses of two protocols at once: what
// ended before and after a declared change is no one thing to be compared with.
func (p *Set) checkBaseline() error {
	per, c := &p.Settings.Period, p.Settings.Questions.Criteria
	if per.Quarter == 0 || c == nil {
		return nil
	}
	var first casebook.Month
	for i := range p.Analysed {
		if m := p.CourseEnd(p.Analysed[i].Cluster, p.Analysed[i].Movement.Course); m != 0 && (first == 0 || m < first) {
			first = m
		}
	}
	var last *results.ProtocolChange
	for i := range c.Changes {
		if ch := &c.Changes[i]; first != 0 && ch.Month > first && ch.Month < per.Quarter && (last == nil || ch.Month > last.Month) {
			last = ch
		}
	}
	if last == nil {
		return nil
	}
	return &PeriodError{fmt.Sprintf("%s would be set against courses that ended from %v to %v, and the protocol changed in %v (%s): nothing before the quarter is all of one protocol. Begin with the change (--from %v), or read the change itself, before and after, without a quarter",
		per.Quarter.Quarter(), first, per.Quarter-1, last.Month, last.Description, last.Month)}
}

// periodFate is where a movement leaves because of when its course ended.
func (p *Set) periodFate(cluster, course int) (fate, bool) {
	if !p.Settings.Period.Limited() || p.Undated {
		return 0, false
	}
	m := p.CourseEnd(cluster, course)
	if m == 0 {
		return NotEnded, true
	}
	return OutsidePeriod, !p.Settings.Period.Holds(m)
}

// CourseInPeriod reports whether a course ended in the period of the audit.
func (p *Set) CourseInPeriod(cluster, course int) bool {
	_, left := p.periodFate(cluster, course)
	return !left
}

// asked reports that a step of the flow belongs to this audit.
func (p *Set) asked(f fate) bool {
	per := &p.Settings.Period
	switch f {
	case OtherClinician:
		return per.Clinician != ""
	case AfterPeriod:
		return per.Last() != 0
	case NotEnded, OutsidePeriod:
		return per.Limited()
	}
	return true
}

// PeriodWarning says what a period could not do; nil where there is nothing to say.
func (p *Set) PeriodWarning() *results.Warning {
	if !p.Settings.Period.Limited() || !p.Undated {
		return nil
	}
	return &results.Warning{
		ID: "no-months", Text: "no month is on record: the period could not be told from the rest, and everything is counted as it is",
		Remedy: "record when cases start and end and when courses begin",
	}
}
