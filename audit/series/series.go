// Package series gives the measures of criteria as sums by case and quarter.
//
// Place in the pipeline: run charts, protocol changes and funnels of audit/ask are
// made from them.
package series

import (
	"math"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats/control"
	"shortfall/ingest/casebook"
)

// Part is what one movement, or case, adds to a measure in one month: every measure of a
// criterion is a ratio num/den of such sums (outside tolerance: counts over
// counts; expression: achieved over planned; mean shortfall: amount over count).
type Part struct {
	Cluster  int
	Quarter  int // index of the quarter, see quarterOf; noQuarter where the month is not recorded
	Month    casebook.Month
	Num, Den float64
	N        int // movements, or 1 for a case
	// Immature: the outcome may still come. Such parts are drawn apart and enter no
	// estimate, limit or comparison.
	Immature bool
	// Undated: completed cases counted as they are, since the months to follow them from
	// their start are not on record.
	Undated bool
}

// MatureOnly lists the mature parts; they may be parts itself.
func MatureOnly(parts []Part) []Part {
	if !slices.ContainsFunc(parts, func(x Part) bool { return x.Immature }) {
		return slices.Clip(parts)
	}
	return slices.DeleteFunc(slices.Clone(parts), func(x Part) bool { return x.Immature })
}

const NoQuarter = -1

// QuarterOf numbers the quarters from year 0 on.
func QuarterOf(m casebook.Month) int {
	if m == 0 {
		return NoQuarter
	}
	return int(m) / 3
}

// QuarterName writes "2025 Q1".
func QuarterName(q int) string { return casebook.Month(3 * q).Quarter() }

// MeasureParts lists what each row, or each finished case, adds to a measure.
// undated counts what a criterion that starts at a month leaves out because it
// has no month: it cannot be shown to be later.
func MeasureParts(p *rows.Set, k *results.Criterion) (out []Part, undated int) {
	return measureParts(p, k, func(Part, Part) bool { return false })
}

// MeasureMonths is MeasureParts with one part for all that a case adds in a month: for sums
// and the spread between cases. A linear model takes rows of equal variance, and gets each.
func MeasureMonths(p *rows.Set, k *results.Criterion) []Part {
	out, _ := measureParts(p, k, func(a, b Part) bool { return a.Cluster == b.Cluster && a.Month == b.Month })
	return out
}

// measureParts lists the parts; those that follow one another and belong together are one.
func measureParts(p *rows.Set, k *results.Criterion, together func(a, b Part) bool) (out []Part, undated int) {
	if k.Measure == results.CasesRefined {
		return refinedParts(p, k)
	}
	by, tol := k.By(), p.Settings
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if !rows.Holds(by, r) || k.Measure == results.OutsideTolerance && !r.Judged(&p.Settings) {
			continue
		}
		month := p.CourseStart(r.Cluster, r.Movement.Course)
		if k.From != 0 && month < k.From {
			undated += measure.OneIf(month == 0)
			continue
		}
		x := Part{Cluster: r.Cluster, Quarter: QuarterOf(month), Month: month, Den: 1, N: 1}
		switch k.Measure {
		case results.OutsideTolerance:
			x.Num = float64(measure.OneIf(r.Outside(&tol)))
		case results.ExpressionRatio:
			x.Num, x.Den = r.Achieved, r.Planned
			if k.AxisMeant() == casebook.NoAxis { // else degrees, ten times as many, would speak for millimetres
				unit := tol.Tolerance(r.Unit())
				x.Num, x.Den = r.Achieved/unit, r.Planned/unit
			}
		case results.MeanShortfallOf:
			x.Num = r.Shortfall()
		}
		if last := len(out) - 1; last >= 0 && together(out[last], x) {
			out[last].Num, out[last].Den, out[last].N = out[last].Num+x.Num, out[last].Den+x.Den, out[last].N+1
			continue
		}
		out = append(out, x)
	}
	markOpen(p, by, out)
	return out, undated
}

// mostOpen is the share of a quarter's planned movements that may still be under
// treatment before the quarter counts as immature: courses that end early, the easy
// ones, would speak for all of it.
const mostOpen = 0.2

// markOpen marks the parts of quarters of which too much is still under treatment.
func markOpen(p *rows.Set, by results.By, parts []Part) {
	planned, open := map[int]int{}, map[int]int{}
	for i := range parts {
		planned[parts[i].Quarter] += parts[i].N
	}
	for i := range p.Missing {
		r := &p.Missing[i]
		log := p.Cases[r.Cluster].Log
		if q := QuarterOf(p.CourseStart(r.Cluster, r.Movement.Course)); q != NoQuarter && rows.Holds(by, r) && log != nil && log.Status == casebook.UnderTreatment {
			planned[q]++
			open[q]++
		}
	}
	for i := range parts {
		q := parts[i].Quarter
		parts[i].Immature = float64(open[q]) > mostOpen*float64(planned[q])
	}
}

// refinedParts counts cases by the month they started: refined within the horizon or
// not. A case is mature once its practice was looked at as long after its start;
// discontinued, switched and transferred cases that were not refined by then count as
// not refined, since nothing of the kind can follow. Where no case can be
// followed by its months the completed cases are counted as they are.
func refinedParts(p *rows.Set, k *results.Criterion) (out []Part, undated int) {
	within := k.Horizon(&p.Settings)
	histories, left := p.Histories()
	for _, l := range left {
		if l.ID != rows.StartAhead { // immature, not undated
			undated += l.Cases
		}
	}
	if len(histories) == 0 {
		return finishedParts(p, k)
	}
	for i := range histories {
		h := &histories[i]
		if k.From != 0 && h.Start < k.From || !p.CohortInPeriod(h.Start, within) {
			continue
		}
		mature := int(p.LastLook(h.Patient)-h.Start) >= within
		out = append(out, Part{
			Cluster: h.Patient, Quarter: QuarterOf(h.Start), Month: h.Start,
			Num: float64(measure.OneIf(h.RefinedBy(within))), Den: 1, N: 1, Immature: !mature,
		})
	}
	return out, undated
}

// finishedParts counts completed cases, whenever they were refined; they are of no
// quarter, since of those that began lately only the quick ones are complete.
func finishedParts(p *rows.Set, k *results.Criterion) (out []Part, undated int) {
	for _, c := range p.FinishedCases() {
		start := casebook.Month(0)
		if log := p.Cases[c.Patient].Log; log != nil {
			start = log.Start
		}
		if k.From != 0 && start < k.From {
			undated += measure.OneIf(start == 0)
			continue
		}
		out = append(out, Part{
			Cluster: c.Patient, Quarter: NoQuarter, Num: float64(measure.OneIf(c.Refinements > 0)), Den: 1, N: 1, Undated: true,
		})
	}
	return out, undated
}

// partSums are the sums of a list of parts.
type partSums struct {
	Num, Den float64
	N, Cases int
}

func (s partSums) Value() float64 { return s.Num / s.Den }

// SumParts adds up the parts that keep admits; those of a case are neighbours.
func SumParts(parts []Part, keep func(*Part) bool) partSums {
	s, last := partSums{}, -1
	for i := range parts {
		if x := &parts[i]; keep(x) {
			s.Num, s.Den, s.N = s.Num+x.Num, s.Den+x.Den, s.N+x.N
			if x.Cluster != last {
				s.Cases, last = s.Cases+1, x.Cluster
			}
		}
	}
	return s
}

// Dispersion is the variance of num - centre x den between cases within quarters,
// for each unit of den.
func Dispersion(parts []Part, centre float64, keep func(*Part) bool) float64 {
	var residual, size []float64
	var unit []int
	number := map[[2]int]int{} // of a case in a quarter
	for i := range parts {
		x := &parts[i]
		if !keep(x) {
			continue
		}
		k := [2]int{x.Cluster, x.Quarter}
		if _, known := number[k]; !known {
			number[k] = len(number)
		}
		residual, size, unit = append(residual, x.Num-centre*x.Den), append(size, x.Den), append(unit, number[k])
	}
	phi, err := control.Dispersion(residual, size, unit, 1)
	if err != nil {
		return math.NaN()
	}
	return phi
}
