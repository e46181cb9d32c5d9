package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// The fixtures are invented: a practice of a seaside town with 120-odd cases,
// whose figures only have to hang together well enough to be laid out. The
// intervals are rough (two standard errors over cases); audit computes the real
// ones.

// move is one invented movement.
type move struct {
	cs, course int
	tooth      casebook.Tooth
	axis       casebook.Axis
	dir        casebook.Direction
	style      casebook.Style
	planned    float64
	achieved   float64
}

// invent makes the movements of n cases.
func invent(n int, seed uint64) []move {
	rng := rand.New(rand.NewPCG(seed, 7))
	base := map[casebook.Axis]float64{
		casebook.Vertical: 0.45, casebook.Rotation: 0.55, casebook.Tip: 0.72, casebook.Torque: 0.48,
		casebook.MesiodistalShift: 0.8, casebook.BuccolingualShift: 0.74,
	}
	var out []move
	for c := range n {
		u := rng.NormFloat64() * 0.1
		courses := 1 + min(4, int(rng.ExpFloat64()*1.1))
		for k := range courses {
			for range 24 + rng.IntN(16) {
				t := casebook.AllTeeth()[rng.IntN(32)]
				if t.Position() == 8 && rng.Float64() < 0.9 {
					continue
				}
				m := move{cs: c, course: k + 1, tooth: t, axis: casebook.Axes()[rng.IntN(6)]}
				m.planned = (0.3 + rng.ExpFloat64()) * map[casebook.Unit]float64{casebook.Millimetre: 0.9, casebook.Degree: 8}[m.axis.Unit()]
				sign := 1.0
				if rng.Float64() < 0.45 {
					sign = -1
				}
				m.dir = casebook.DirectionOf(m.axis, sign)
				m.style = casebook.Styles()[min(2, int(rng.Float64()*2+m.planned/14))]
				effect := 0.0
				if m.axis == casebook.Rotation && m.style == casebook.ClinicianDesigned {
					effect = 0.16
				}
				m.achieved = m.planned * (base[m.axis] + u + effect - 0.05*float64(k) + 0.22*rng.NormFloat64())
				out = append(out, m)
			}
		}
	}
	return out
}

func (m move) in(by results.By) bool {
	stratum := results.Initial
	if m.course > 1 {
		stratum = results.Refinement
	}
	return (by.Axis == 0 || by.Axis == m.axis) && (by.Direction == 0 || by.Direction == m.dir) &&
		(by.Tooth == 0 || by.Tooth == m.tooth) && (by.ToothClass == 0 || by.ToothClass == m.tooth.Class()) &&
		(by.Arch == 0 || by.Arch == m.tooth.Arch()) && (by.Style == 0 || by.Style == m.style) &&
		(by.Course == "" || by.Course == stratum)
}

func few(need, have int) results.Warning {
	return results.Warning{
		ID: "few-cases", Text: fmt.Sprintf("too few cases for an interval: %d so far", have),
		Remedy: fmt.Sprintf("needs %d cases", need),
	}
}

// cellOf gives the expression of a cell and whether any movement is in it.
func cellOf(ms []move, by results.By, s results.Settings) (results.Cell, bool) {
	c := results.Cell{By: by, Unit: by.Axis.Unit(), Method: "ratio of sums"}
	perCase := map[int][2]float64{}
	out := 0
	for _, m := range ms {
		if !m.in(by) {
			continue
		}
		c.Movements++
		v := perCase[m.cs]
		perCase[m.cs] = [2]float64{v[0] + m.planned, v[1] + m.achieved}
		c.PlannedTotal += results.Number(m.planned)
		c.AchievedTotal += results.Number(m.achieved)
		c.MeanAbsError += results.Number(math.Abs(m.achieved - m.planned))
		if math.Abs(m.achieved-m.planned) > s.Tolerance(c.Unit) {
			out++
		}
	}
	if c.Movements == 0 {
		return c, false
	}
	c.Cases, c.Estimate = len(perCase), c.AchievedTotal/c.PlannedTotal
	c.MeanAbsError /= results.Number(c.Movements)
	c.MeanShortfall = (c.PlannedTotal - c.AchievedTotal) / results.Number(c.Movements)
	c.MeanDifference = results.Spread{Value: -c.MeanShortfall}
	c.MedianRatio, c.LowerQuartile, c.UpperQuartile = c.Estimate, c.Estimate-0.15, c.Estimate+0.15
	c.PercentF2, c.Slope, c.DesignEffect = c.Estimate*95, c.Estimate, 1.4
	c.OutsideTolerance = share(out, c.Movements)
	var ss float64
	for id := range 1000 { // in order, so that the sum is the same each time
		v := perCase[id]
		d := v[1] - float64(c.Estimate)*v[0]
		ss += d * d
	}
	c.SE = results.Number(math.Sqrt(ss) / float64(c.PlannedTotal))
	c.DF = results.Number(c.Cases - 1)
	c.Low, c.High = c.Estimate-2*c.SE, c.Estimate+2*c.SE
	if c.Cases < s.MinIntervalCases {
		c.Low, c.High, c.SE, c.DF = results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable
		c.Warnings = append(c.Warnings, few(s.MinIntervalCases, c.Cases))
	}
	if c.Cases < s.MinCellCases && s.Shared {
		c = results.Cell{By: by, Unit: c.Unit, Suppressed: true, Warnings: []results.Warning{{ID: "suppressed", Text: "fewer than 5 cases, not shown", Remedy: "collect more cases or audit a longer period"}}}
	}
	return c, true
}

func share(n, of int) results.Share {
	p := float64(n) / float64(of)
	h := 2 * math.Sqrt(p*(1-p)/float64(of))
	return results.Share{Numerator: n, Denominator: of, Value: results.Number(p), Low: results.Number(math.Max(0, p-h)), High: results.Number(math.Min(1, p+h)), Method: "clustered by case"}
}

func cells(ms []move, s results.Settings) []results.Cell {
	out := []results.Cell{}
	slab := map[results.By][]move{} // by axis and course: every cell lies in one
	for _, a := range casebook.Axes() {
		for _, course := range []results.CourseStratum{results.Initial, results.Refinement} {
			by := results.By{Axis: a, Course: course}
			slab[by] = slices.DeleteFunc(slices.Clone(ms), func(m move) bool { return !m.in(by) })
		}
	}
	keep := func(by results.By) {
		if c, ok := cellOf(slab[results.By{Axis: by.Axis, Course: by.Course}], by, s); ok {
			out = append(out, c)
		}
	}
	for _, a := range casebook.Axes() {
		for _, course := range []results.CourseStratum{results.Initial, results.Refinement} {
			for _, d := range []casebook.Direction{0, casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1)} {
				for _, st := range append([]casebook.Style{0}, casebook.Styles()...) {
					by := results.By{Axis: a, Direction: d, Style: st, Course: course}
					keep(by)
					if d == 0 && st == 0 {
						for _, t := range casebook.AllTeeth() {
							by.Tooth = t
							keep(by)
						}
					}
				}
				for _, cl := range casebook.ToothClasses() {
					keep(results.By{Axis: a, Direction: d, ToothClass: cl, Course: course})
				}
			}
		}
	}
	return out
}
