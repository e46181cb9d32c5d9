package audit

import (
	"math"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// part is what one case adds to a measure in one quarter: every measure of a
// criterion is a ratio num/den of such sums (outside tolerance: counts over
// counts; expression: achieved over planned; mean shortfall: amount over count).
type part struct {
	cluster  int
	quarter  int // index of the quarter, see quarterOf; noQuarter where the month is not recorded
	month    casebook.Month
	num, den float64
	n        int // movements, or 1 for a case
}

const noQuarter = -1

// quarterOf numbers the quarters from year 0 on.
func quarterOf(m casebook.Month) int {
	if m == 0 {
		return noQuarter
	}
	return int(m) / 3
}

// quarterName writes "2025 Q1".
func quarterName(q int) string { return casebook.Month(3 * q).Quarter() }

// monthOf is when the course of a row began: the course's own month, or for
// the initial course the month the case began.
func monthOf(p *rows.Set, r *rows.Row) casebook.Month {
	c := &p.Cases[r.Cluster]
	for i := range c.Courses {
		if c.Courses[i].Number == r.Movement.Course && c.Courses[i].Start != 0 {
			return c.Courses[i].Start
		}
	}
	if r.First && c.Log != nil {
		return c.Log.Start
	}
	return 0
}

// measureParts lists what each row, or each finished case, adds to a measure.
// undated counts what a criterion that starts at a month leaves out because it
// has no month: it cannot be shown to be later.
func measureParts(p *rows.Set, k *results.Criterion) (out []part, undated int) {
	if k.Measure == results.CasesRefined {
		return refinedParts(p, k)
	}
	by, tol := k.By(), p.Settings
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if !rows.Holds(by, r) {
			continue
		}
		month := monthOf(p, r)
		if k.From != 0 && month < k.From {
			undated += measure.OneIf(month == 0)
			continue
		}
		x := part{cluster: r.Cluster, quarter: quarterOf(month), month: month, den: 1, n: 1}
		switch k.Measure {
		case results.OutsideTolerance:
			x.num = float64(measure.OneIf(r.Outside(&tol)))
		case results.ExpressionRatio:
			x.num, x.den = r.Achieved, r.Planned
		case results.MeanShortfallOf:
			x.num = r.Shortfall()
		}
		out = append(out, x)
	}
	return out, undated
}

// refinedParts counts completed cases, by the month they began.
func refinedParts(p *rows.Set, k *results.Criterion) (out []part, undated int) {
	for i := range p.Cases {
		c := &p.Cases[i]
		if c.Log == nil || c.Log.Status != casebook.Completed {
			continue
		}
		if k.From != 0 && c.Log.Start < k.From {
			undated += measure.OneIf(c.Log.Start == 0)
			continue
		}
		refined := slices.ContainsFunc(c.Courses, func(x casebook.Course) bool { return x.Number > 1 })
		out = append(out, part{
			cluster: i, quarter: quarterOf(c.Log.Start), month: c.Log.Start,
			num: float64(measure.OneIf(refined)), den: 1, n: 1,
		})
	}
	return out, undated
}

// partSums are the sums of a list of parts.
type partSums struct {
	num, den float64
	n, cases int
}

func (s partSums) value() float64 { return s.num / s.den }

// sumParts adds up the parts that keep admits; those of a case are neighbours.
func sumParts(parts []part, keep func(*part) bool) partSums {
	s, last := partSums{}, -1
	for i := range parts {
		if x := &parts[i]; keep(x) {
			s.num, s.den, s.n = s.num+x.num, s.den+x.den, s.n+x.n
			if x.cluster != last {
				s.cases, last = s.cases+1, x.cluster
			}
		}
	}
	return s
}

// dispersion is the variance of num - centre x den between cases within
// quarters, for each unit of den: the variance of a quarter's value is
// dispersion / den. For independent yes-or-no answers it is p(1-p); the excess
// over that is the design effect of clustering by case (compare Laney 2002,
// Quality Engineering 14:531-537, who scales a p-chart by the observed spread).
func dispersion(parts []part, centre float64, keep func(*part) bool) float64 {
	type unit struct{ cluster, quarter int }
	sums := map[unit]float64{}
	var order []unit // sums of floats must not depend on map order
	var den float64
	for i := range parts {
		x := &parts[i]
		if !keep(x) {
			continue
		}
		u := unit{x.cluster, x.quarter}
		if _, ok := sums[u]; !ok {
			order = append(order, u)
		}
		sums[u] += x.num - centre*x.den
		den += x.den
	}
	m := float64(len(order))
	var squares float64
	for _, u := range order {
		squares += sums[u] * sums[u]
	}
	return m / (m - 1) * squares / den
}

// designEffectOf a share: dispersion over the binomial variance, at least 1.
func designEffectOf(dispersion, share float64) float64 {
	d := dispersion / (share * (1 - share))
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return math.NaN()
	}
	return max(1, d)
}
