package sampledata

import (
	"math"

	"shortfall/ingest/casebook"
)

// feature is what is bonded on one tooth during one course.
type feature struct {
	style   casebook.Style
	shape   casebook.Shape
	face    casebook.Orientation
	size    casebook.Opt[float64]
	lost    casebook.Opt[bool]
	month   casebook.Opt[int]
	staging casebook.Staging // true staging; the record may lack it
	blank   bool             // staging not recorded
}

// treat carries out one course, records its movements and returns what the
// next course would have to ask for.
func (g *practice) treat(p *patient, course int, targets []target, measured bool) []target {
	var residual []target
	for len(targets) > 0 {
		n := 1
		for n < len(targets) && targets[n].tooth == targets[0].tooth {
			n++
		}
		f := g.bond(p, targets[:n])
		for _, t := range targets[:n] {
			if left, again := g.move(p, course, t, f, measured); again {
				residual = append(residual, left)
			}
		}
		targets = targets[n:]
	}
	return residual
}

// bond chooses the feature of a tooth from its largest relative plan. In a
// refinement most teeth keep their style.
func (g *practice) bond(p *patient, targets []target) feature {
	class := targets[0].tooth.Class()
	largest, planned, axis := 0.0, 0, targets[0].axis
	for _, t := range targets {
		if t.planned == 0 {
			continue
		}
		plan := g.plans[planKey{casebook.DirectionOf(t.axis, t.planned), class}]
		planned++
		if relative := math.Abs(t.planned) / plan.Median; relative > largest {
			largest, axis = relative, t.axis
		}
	}
	f := feature{style: targets[0].style, staging: casebook.Sequenced, blank: g.chance(g.Unrecorded)}
	if f.style == casebook.NoStyle || g.chance(0.35) {
		f.style = g.chooseStyle(p, class, largest)
	}
	// One planned movement counts as sequenced: nothing else is asked of the tooth.
	if planned > 1 && g.chance(0.6) {
		f.staging = casebook.Combined
	}
	if f.style != casebook.StyleNone {
		g.shape(p, class, axis, &f)
	}
	return f
}

// chooseStyle: features go to large plans; the software's own go to the
// largest; clinicians override for teeth they hold to be hard.
func (g *practice) chooseStyle(p *patient, class casebook.ToothClass, relative float64) casebook.Style {
	hard := map[casebook.ToothClass]float64{casebook.Canine: 0.4, casebook.Premolar: 0.3, casebook.Molar: -0.4}[class]
	excess := min(relative, 2.5) - 1
	if !g.chance(logistic(1.0 + g.Confounding*1.4*excess)) {
		return casebook.StyleNone
	}
	if g.chance(logistic(0.1 + p.clinician.Override + g.Confounding*(hard-1.1*excess))) {
		return casebook.ClinicianDesigned
	}
	return casebook.SoftwareSuggested
}

func (g *practice) shape(p *patient, class casebook.ToothClass, axis casebook.Axis, f *feature) {
	weights := []float64{2, 5, 2, 1}
	if f.style == casebook.ClinicianDesigned {
		weights = []float64{6, 2, 2, 0}
	}
	f.shape = pick(g, casebook.Shapes()[:4], weights...)
	f.face = g.orientation(axis)
	f.size = casebook.Some(pick(g, []float64{3, 4, 5}, 4, 4, 2))
	lost := g.chance(g.LossRate[class])
	f.lost = casebook.Some(lost)
	if lost {
		months := max(1, p.aligners*p.ChangeDays.Value/30)
		f.month = casebook.Some(1 + int(math.Pow(g.rng.Float64(), 2)*float64(months)))
	}
}

// orientation of the long edge, mostly the one square to the displacement.
func (g *practice) orientation(a casebook.Axis) casebook.Orientation {
	weights := []float64{5, 3, 2}
	switch a {
	case casebook.Rotation, casebook.Tip:
		weights = []float64{7, 1, 2}
	case casebook.Vertical:
		weights = []float64{1, 7, 2}
	}
	return pick(g, casebook.Orientations(), weights...)
}

// mean expression of one movement, before the random effects.
func (g *practice) mean(p *patient, course int, t target, f feature) float64 {
	d, unit := casebook.DirectionOf(t.axis, t.planned), t.axis.Unit()
	m := g.plans[planKey{d, t.tooth.Class()}].Base +
		g.styleEffect(d, f.style) + g.sloped(unit, math.Abs(t.planned)) +
		p.clinician.Effect + g.WearEffect[p.wear] +
		g.AgePerBand*(float64(p.age)-float64(casebook.Age18To29))
	if f.staging == casebook.Combined {
		m += g.StagingEffect
	}
	if f.lost.Value {
		m += g.LostEffect
	}
	if course > 1 {
		m += g.Refinement
	}
	return m
}

// move carries out one movement and records it; left is the next course's
// target where enough is left over to plan again.
func (g *practice) move(p *patient, course int, t target, f feature, measured bool) (left target, again bool) {
	unit := t.axis.Unit()
	mean := g.mean(p, course, t, f)
	moved := t.planned * (mean + p.u + g.rng.NormFloat64()*g.MovementSD)
	if t.planned == 0 {
		mean, moved = 0, g.rng.NormFloat64()*g.noise(unit)*1.5
	}
	end := g.rng.NormFloat64() * g.noise(unit) / math.Sqrt2
	if course == 1 {
		t.scan = g.rng.NormFloat64() * g.noise(unit) / math.Sqrt2
	}
	achieved := round(moved+end-t.scan, unit)
	record := casebook.Movement{
		Case: p.Key(), Course: course, Tooth: t.tooth, Axis: t.axis, Planned: t.planned,
		Style: f.style, Shape: f.shape, Orientation: f.face, SizeMM: f.size,
		Lost: f.lost, LostMonth: f.month, Staging: f.staging,
	}
	if f.blank {
		record.Staging = casebook.NoStaging
	}
	if !g.chance(g.Missing) && measured {
		record.Achieved, record.MeasuredBy = casebook.Some(achieved), casebook.SuperimposedScans
	}
	g.ds.Movements = append(g.ds.Movements, record)
	g.means, g.truth = append(g.means, mean), append(g.truth, moved)
	rest := round(t.planned-achieved, unit)
	return target{t.tooth, t.axis, rest, end, f.style}, t.planned != 0 && math.Abs(rest) > g.replan(unit)
}
