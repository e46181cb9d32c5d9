package sampledata

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"shortfall/ingest/casebook"
)

// practice is the state of one run of the generator.
type practice struct {
	Params
	rng   *rand.Rand
	plans map[planKey]Plan
	teeth []casebook.Tooth
	ds    *casebook.Dataset
	means []float64 // of ds.Movements, in order
	truth []float64 // measured movement without its scan error, in order
}

type planKey struct {
	direction casebook.Direction
	class     casebook.ToothClass
}

// Generate makes one practice. Equal parameters and seed give equal records on
// every machine; records come in key order. The dataset carries no file
// provenance, only Invented.
func Generate(p Params, seed uint64) (*casebook.Dataset, Truth) {
	g := &practice{
		Params: p,
		rng:    rand.New(rand.NewPCG(seed, 0x73686f727466616c)),
		plans:  make(map[planKey]Plan, len(p.Plans)),
		teeth:  movableTeeth(),
		ds:     &casebook.Dataset{Invented: true},
	}
	for _, plan := range p.Plans {
		g.plans[planKey{plan.Direction, plan.Class}] = plan
	}
	width := max(3, len(fmt.Sprint(p.Cases)))
	for i := range p.Cases {
		g.addCase(fmt.Sprintf("MQ-%0*d", width, i+1))
		if i == 15 { // by now it is known about how many movements a case has
			more := len(g.ds.Movements) * (p.Cases - i) / i
			g.ds.Movements = slices.Grow(g.ds.Movements, more)
			g.means, g.truth = slices.Grow(g.means, more), slices.Grow(g.truth, more)
		}
	}
	g.addRepeats()
	return g.ds, newTruth(p, seed, g.ds, g.means)
}

// movableTeeth are the 28 teeth before the third molars, in key order.
func movableTeeth() []casebook.Tooth {
	var out []casebook.Tooth
	for _, t := range casebook.AllTeeth() {
		if t.Position() < 8 {
			out = append(out, t)
		}
	}
	slices.Sort(out)
	return out
}

// addRepeats measures a random sample of the recorded outcomes once more.
func (g *practice) addRepeats() {
	var measured []int
	for i, m := range g.ds.Movements {
		if m.Achieved.OK {
			measured = append(measured, i)
		}
	}
	g.rng.Shuffle(len(measured), func(i, j int) { measured[i], measured[j] = measured[j], measured[i] })
	chosen := measured[:min(g.Repeats, len(measured))]
	slices.Sort(chosen)
	for _, i := range chosen {
		m := g.ds.Movements[i]
		second := g.truth[i] + g.rng.NormFloat64()*g.noise(m.Axis.Unit())
		g.ds.Repeats = append(g.ds.Repeats, casebook.Repeat{
			Case: m.Case, Course: m.Course, Tooth: m.Tooth, Axis: m.Axis,
			First: m.Achieved.Value, Second: round(second, m.Axis.Unit()),
		})
	}
}

func (p Params) noise(u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return p.NoiseMM
	}
	return p.NoiseDeg
}

func (p Params) replan(u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return p.ReplanMM
	}
	return p.ReplanDeg
}

// sloped is the part of expression that depends on the planned amount.
func (p Params) sloped(u casebook.Unit, size float64) float64 {
	if u == casebook.Millimetre {
		return p.SlopePerMM * (size - p.CentreMM)
	}
	return p.SlopePerDegree * (size - p.CentreDeg)
}

// styleEffect against software-suggested.
func (p Params) styleEffect(d casebook.Direction, s casebook.Style) float64 {
	switch s {
	case casebook.ClinicianDesigned:
		return p.StyleEffect[d]
	case casebook.StyleNone:
		return p.NoneEffect[d]
	}
	return 0
}
