package sampledata

import (
	"math"
	"slices"

	"shortfall/ingest/casebook"
)

// patient is one case while it is being made.
type patient struct {
	casebook.Case
	clinician ClinicianPlan
	u         float64 // random effect of the case on expression
	extent    float64 // how much of the mouth is to be moved
	wear      casebook.Wear
	age       casebook.AgeBand
	aligners  int
}

// target is what one course asks of one tooth along one axis.
type target struct {
	tooth   casebook.Tooth
	axis    casebook.Axis
	planned float64
	scan    float64        // error of the scan the course starts from
	style   casebook.Style // of the course before; NoStyle in the initial course
}

func (g *practice) addCase(id string) {
	p := g.newPatient(id)
	start, targets := p.Start, g.initialTargets(p)
	for course := 1; len(targets) > 0; course++ {
		p.aligners = 8 + g.rng.IntN(8)
		if course == 1 {
			p.aligners = 16 + g.rng.IntN(20)
		}
		end := start + casebook.Month(math.Ceil(float64(p.aligners*p.ChangeDays.Value)/30.4))
		exit := g.exit(p)
		unfinished := end > g.Freeze
		used := p.aligners
		if exit != casebook.NoStatus && !unfinished {
			used = 1 + g.rng.IntN(p.aligners)
			end = start + casebook.Month(math.Ceil(float64(used*p.ChangeDays.Value)/30.4))
		}
		g.addCourse(p, course, start, used, unfinished)
		measured := !unfinished && (exit == casebook.NoStatus || g.chance(g.Dropout.FinalScan))
		residual := g.treat(p, course, targets, measured)
		switch {
		case unfinished:
			p.Status = casebook.UnderTreatment
		case exit != casebook.NoStatus:
			p.Status, p.End = exit, end
		case g.refine(residual, course):
			targets, start = residual, end+casebook.Month(g.rng.IntN(2))
			if start < g.Freeze {
				continue
			}
			p.Status = casebook.UnderTreatment
		default:
			p.Status, p.End = casebook.Completed, end
		}
		p.StatedRefinements = casebook.Some(course - 1)
		break
	}
	g.ds.Cases = append(g.ds.Cases, p.Case)
}

func (g *practice) newPatient(id string) *patient {
	p := &patient{clinician: g.Clinicians[g.rng.IntN(len(g.Clinicians))]}
	p.wear = pick(g, casebook.Wears(), 6, 3, 1)
	p.age = pick(g, casebook.AgeBands()[1:], 4, 3, 2, 1, .3)
	p.u = g.rng.NormFloat64() * g.CaseSD
	p.extent = g.logNormal(g.Extent, 0.4)
	p.Case = casebook.Case{
		ID: id, Practice: g.Practice, Clinician: p.clinician.Code,
		Start:      g.FirstStart + casebook.Month(g.rng.IntN(g.Months)),
		ChangeDays: casebook.Some(pick(g, []int{7, 10, 14}, 4, 4, 2)),
		Wear:       p.wear, AgeBand: p.age,
	}
	if g.chance(g.Unrecorded) {
		p.Wear = casebook.NoWear
	} else {
		p.WearRecorded = casebook.BeforeOutcome
	}
	if g.chance(g.Unrecorded) {
		p.AgeBand = casebook.NoAgeBand
	}
	return p
}

// initialTargets draws the plan of the initial course: for every tooth and
// axis one direction, the other, or nothing.
func (g *practice) initialTargets(p *patient) []target {
	var out []target
	for len(out) == 0 {
		for _, tooth := range g.teeth {
			for _, axis := range casebook.Axes() {
				if planned := g.initialPlan(p, tooth, axis); planned != 0 {
					out = append(out, target{tooth: tooth, axis: axis, planned: planned})
				}
			}
		}
	}
	return g.withUnplanned(out)
}

func (g *practice) initialPlan(p *patient, tooth casebook.Tooth, axis casebook.Axis) float64 {
	at := g.rng.Float64()
	for _, sign := range []float64{1, -1} {
		plan := g.plans[planKey{casebook.DirectionOf(axis, sign), tooth.Class()}]
		probability := min(plan.PerTooth*p.extent, 0.45)
		if at < probability {
			size := capped(g.logNormal(plan.Median, 0.5), axis.Unit())
			return sign * round(size, axis.Unit())
		}
		at -= probability
	}
	return 0
}

// withUnplanned adds a few measured movements of which nothing was planned.
func (g *practice) withUnplanned(targets []target) []target {
	for rate := g.Unplanned; rate > 0; rate-- {
		if !g.chance(rate) {
			continue
		}
		tooth := g.teeth[g.rng.IntN(len(g.teeth))]
		axis := casebook.Axes()[g.rng.IntN(len(casebook.Axes()))]
		if !slices.ContainsFunc(targets, func(t target) bool { return t.tooth == tooth && t.axis == axis }) {
			targets = append(targets, target{tooth: tooth, axis: axis})
		}
	}
	slices.SortFunc(targets, func(a, b target) int {
		if a.tooth != b.tooth {
			return int(a.tooth) - int(b.tooth)
		}
		return int(a.axis) - int(b.axis)
	})
	return targets
}

// exit draws how the course ends early, if it does.
func (g *practice) exit(p *patient) casebook.Status {
	double := 1.0
	if p.wear == casebook.WearPoor {
		double = 2
	}
	d := g.Dropout
	discontinued, switched := d.Discontinued*double, d.Switched*double
	return pick(g, []casebook.Status{
		casebook.Discontinued, casebook.Switched, casebook.Transferred, casebook.NoStatus,
	}, discontinued, switched, d.Transferred, 1-discontinued-switched-d.Transferred)
}

func (g *practice) addCourse(p *patient, number int, start casebook.Month, used int, unfinished bool) {
	course := casebook.Course{
		Case: p.Key(), Number: number, Start: start, AlignersPlanned: casebook.Some(p.aligners),
	}
	if !unfinished {
		course.AlignersUsed = casebook.Some(used)
	}
	if number == 1 {
		p.PlannedAligners = casebook.Some(p.aligners)
	}
	g.ds.Courses = append(g.ds.Courses, course)
}

// refine decides whether the case goes back for a refinement: the more that is
// left over the likelier, and less likely each time.
func (g *practice) refine(residual []target, course int) bool {
	if len(residual) == 0 || course > g.MaxRefinements {
		return false
	}
	patience := math.Pow(0.8, float64(course-1))
	return g.chance(patience * (1 - math.Pow(1-g.RefineHazard, float64(len(residual)))))
}
