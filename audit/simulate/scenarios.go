package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// Scenario is a reason for which styles seem to differ, or a true difference.
type Scenario struct {
	Name  string
	What  string
	Apply func(p *Practice)
	// True are the directions in which the styles differ; empty: none.
	True []casebook.Direction
}

// Scenarios lists them: the nulls first.
func Scenarios() []Scenario { return append(nulls(), effects()...) }

// usual odds of clinician-designed.
const usual = -0.2

func nulls() []Scenario {
	return []Scenario{
		{Name: "no effect", What: "styles as by the toss of a coin", Apply: func(*Practice) {}},
		{Name: "follows response", What: "clinicians design for patients who respond poorly", Apply: followsResponse},
		{Name: "failure-driven redesign", What: "refinements are redesigned where the tooth failed", Apply: failureDriven},
		{Name: "drift", What: "results improve over time while the style drifts", Apply: drift},
		{Name: "two clinicians", What: "two clinicians of different habit and different results", Apply: twoClinicians},
		{Name: "two clinicians, some mouths mixed", What: "the same, with enough mixed mouths to compare", Apply: twoMixedClinicians},
		{Name: "saturating, disjoint plans", What: "expression falls with the plan, clinicians design the large plans only", Apply: saturatingDisjoint},
		{Name: "saturating, part overlap", What: "the same, half of the plans in common", Apply: saturatingPart},
		{Name: "misplaced decimals", What: "three results ten times too large", Apply: func(p *Practice) { p.Misplaced = 3 }},
		{Name: "informative number", What: "poor responders have more movements and more clinician designs", Apply: informative},
		{Name: "harder teeth", What: "clinicians design for canines and premolars, which respond less", Apply: harderTeeth},
		{Name: "missing by patient", What: "poor responders are measured less often", Apply: missingByPatient},
		{Name: "long tails", What: "residuals and patients with t on 3 degrees of freedom", Apply: longTails},
		{Name: "response by class", What: "a patient's response differs between front and back teeth, and so does the style", Apply: responseByClass},
		{Name: "response multiplies", What: "a patient's response multiplies the dose curve", Apply: responseMultiplies},
		{Name: "spread differs", What: "clinician-designed results scatter twice as much in poor responders", Apply: spreadDiffers},
		{Name: "rare style", What: "one movement in eight is clinician-designed", Apply: rareStyle},
		{Name: "upper and lower", What: "clinicians design upper teeth, which express more", Apply: upperLower},
		{Name: "one side", What: "clinicians design on the right, which expresses more", Apply: oneSide},
		{Name: "single teeth", What: "every tooth of a side is as hard as it is, and clinicians design the hard ones", Apply: singleTeeth},
		{Name: "teeth lean", What: "neighbouring results of a mouth are alike beyond the patient", Apply: teethLean},
	}
}

func effects() []Scenario {
	return []Scenario{
		oneDirection(0.15), oneDirection(0.16), oneDirection(0.20),
		{Name: "16 points in one, follows response", What: "the same, with designs that follow the response", Apply: func(p *Practice) {
			followsResponse(p)
			p.Effect[casebook.Extrusion] = 0.16
		}, True: []casebook.Direction{casebook.Extrusion}},
		{Name: "one tooth class", What: "20 points in incisors of every direction, none elsewhere", Apply: func(p *Practice) {
			p.ClassEffect = map[casebook.ToothClass]float64{casebook.Incisor: 0.2}
		}, True: everyDirection},
		{Name: "one tooth class of one direction", What: "20 points in extrusion of incisors, none elsewhere", Apply: func(p *Practice) {
			p.ClassEffect, p.ClassDirection = map[casebook.ToothClass]float64{casebook.Incisor: 0.2}, casebook.Extrusion
		}, True: []casebook.Direction{casebook.Extrusion}},
		{Name: "40 points in one tooth class", What: "40 points in canines of every direction, none elsewhere", Apply: func(p *Practice) {
			p.ClassEffect = map[casebook.ToothClass]float64{casebook.Canine: 0.4}
		}, True: everyDirection},
	}
}

// everyDirection that a practice plans.
var everyDirection = []casebook.Direction{casebook.Extrusion, casebook.MesialIn, casebook.TipMesial, casebook.TorqueBuccal}

// oneDirection is a true difference in extrusion and nowhere else.
func oneDirection(effect float64) Scenario {
	return Scenario{
		Name: fmt.Sprintf("%g points in one direction", round.HalfAway(100*effect, 0)), What: "clinician-designed extrusion expresses that much more",
		Apply: func(p *Practice) { p.Effect[casebook.Extrusion] = effect }, True: []casebook.Direction{casebook.Extrusion},
	}
}

func followsResponse(p *Practice) {
	sd := p.between()
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return usual - 2*c.Response/sd }
}

// between is the standard deviation between patients; never 0, to divide by.
func (p *Practice) between() float64 {
	return math.Max(p.Within*math.Sqrt(p.ICC/(1-p.ICC)), 1e-6)
}

func failureDriven(p *Practice) {
	p.Refinements = true
	p.Redesign = func(_ *Patient, before float64) float64 { return 3 * (0.5 - before) / p.Within }
}

func drift(p *Practice) {
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return -2 + 4*float64(c.Month)/Months }
	p.Expected = func(c *Patient, _ *Plan, _ float64) float64 { return 0.3 * (float64(c.Month)/Months - 0.5) }
}

func twoClinicians(p *Practice) {
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return 5*float64(c.Clinician) - 2.5 }
	p.Expected = func(c *Patient, _ *Plan, _ float64) float64 { return 0.2 * (float64(c.Clinician) - 0.5) }
}

func twoMixedClinicians(p *Practice) {
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return 2.4*float64(c.Clinician) - 1.2 }
	p.Expected = func(c *Patient, _ *Plan, _ float64) float64 { return 0.25 * (float64(c.Clinician) - 0.5) }
}

// saturating is what is left of the plan's share as the plan grows.
func saturating(_ *Patient, m *Plan, planned float64) float64 {
	x := planned / Typical(m.Direction)
	return 0.9/(1+0.5*x) - Base
}

func saturatingDisjoint(p *Practice) {
	p.Expected = saturating
	p.Amount = func(rng *rand.Rand, clinician bool, _ *Plan) float64 {
		if clinician {
			return 1.5 + 1.5*rng.Float64()
		}
		return 0.3 + rng.Float64()
	}
}

func saturatingPart(p *Practice) {
	p.Expected = saturating
	p.Amount = func(rng *rand.Rand, clinician bool, _ *Plan) float64 {
		if clinician {
			return 0.9 + 1.8*rng.Float64()
		}
		return 0.3 + 1.5*rng.Float64()
	}
}

func informative(p *Practice) {
	sd := p.between()
	p.Extra = func(c *Patient) int { return int(math.Round(math.Min(math.Max(-5*c.Response/sd, -6), 14))) }
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return usual - c.Response/sd }
}

func harderTeeth(p *Practice) {
	hard := func(m *Plan) bool {
		k := m.Tooth.Class()
		return k == casebook.Canine || k == casebook.Premolar
	}
	p.Style = func(_ *rand.Rand, _ *Patient, m *Plan) float64 {
		if hard(m) {
			return 1.2
		}
		return -1.2
	}
	p.Expected = func(_ *Patient, m *Plan, _ float64) float64 {
		if hard(m) {
			return -0.2
		}
		return 0
	}
}

func missingByPatient(p *Practice) {
	followsResponse(p)
	sd, missing := p.between(), p.Missing
	p.Left = func(_ *rand.Rand, c *Patient, _ *Plan) float64 {
		return missing * 2 * logistic(-2*c.Response/sd)
	}
}

// student3 has unit variance and the tails of t on 3 degrees of freedom.
func student3(rng *rand.Rand) float64 {
	chi := 0.0
	for range 3 {
		z := rng.NormFloat64()
		chi += z * z
	}
	return rng.NormFloat64() / math.Sqrt(chi/3) / math.Sqrt(3)
}

func longTails(p *Practice) {
	followsResponse(p)
	p.PatientOdd = student3
	p.Residual = func(rng *rand.Rand, _ *Patient) float64 { return student3(rng) }
}

func responseByClass(p *Practice) {
	sd := p.between()
	front := func(m *Plan) float64 {
		if k := m.Tooth.Class(); k == casebook.Incisor || k == casebook.Canine {
			return 1
		}
		return -1
	}
	p.Expected = func(c *Patient, m *Plan, _ float64) float64 { return 0.6 * c.Response * front(m) }
	p.Style = func(_ *rand.Rand, c *Patient, m *Plan) float64 { return usual - c.Response/sd + 0.8*front(m) }
}

func responseMultiplies(p *Practice) {
	sd := p.between()
	p.Expected = func(c *Patient, m *Plan, planned float64) float64 {
		return saturating(c, m, planned) * (1 + c.Response/Base)
	}
	p.Style = func(_ *rand.Rand, c *Patient, _ *Plan) float64 { return usual - 2*c.Response/sd }
}

func spreadDiffers(p *Practice) {
	followsResponse(p)
	p.Residual = func(rng *rand.Rand, c *Patient) float64 {
		if c.Response < 0 {
			return 1.6 * rng.NormFloat64()
		}
		return 0.7 * rng.NormFloat64()
	}
}

func rareStyle(p *Practice) {
	p.Style = func(*rand.Rand, *Patient, *Plan) float64 { return -2 }
}

func upperLower(p *Practice) {
	p.Style = func(_ *rand.Rand, _ *Patient, m *Plan) float64 {
		if m.Tooth.Arch() == casebook.Upper {
			return 1
		}
		return -1
	}
	p.Expected = func(_ *Patient, m *Plan, _ float64) float64 {
		if m.Tooth.Arch() == casebook.Upper {
			return 0.12
		}
		return 0
	}
}

// signed is 1 where it is so, else -1.
func signed(is bool) float64 {
	if is {
		return 1
	}
	return -1
}

func oneSide(p *Practice) {
	right := func(m *Plan) float64 { return signed(m.Tooth.Quadrant() == 1 || m.Tooth.Quadrant() == 4) }
	p.Style = func(_ *rand.Rand, _ *Patient, m *Plan) float64 { return right(m) }
	p.Expected = func(_ *Patient, m *Plan, _ float64) float64 { return 0.06 * right(m) }
}

// hardness of the upper teeth of a side and of the lower ones, from the middle backwards,
// in standard deviations.
var hardness = map[casebook.Arch][7]float64{
	casebook.Upper: {-0.9, 1.3, 0.2, -1.2, 0.8, 1.5, -0.4},
	casebook.Lower: {1.1, -0.6, -1.4, 0.9, -0.2, -1.3, 0.7},
}

func singleTeeth(p *Practice) {
	hard := func(m *Plan) float64 { return hardness[m.Tooth.Arch()][m.Tooth.Position()-1] }
	p.Style = func(_ *rand.Rand, _ *Patient, m *Plan) float64 { return usual + hard(m) }
	p.Expected = func(_ *Patient, m *Plan, _ float64) float64 { return -0.1 * hard(m) }
}

// teethLean shares a part between the quadrants of a mouth; the same for the
// style, so that both cluster inside the mouth.
func teethLean(p *Practice) {
	hash := func(c *Patient, q int, salt uint64) float64 {
		return rand.New(rand.NewPCG(c.Seed+uint64(q), salt)).NormFloat64()
	}
	p.Expected = func(c *Patient, m *Plan, _ float64) float64 { return 0.5 * p.Within * hash(c, m.Tooth.Quadrant(), 1) }
	p.Style = func(_ *rand.Rand, c *Patient, m *Plan) float64 { return 1.5 * hash(c, m.Tooth.Quadrant(), 2) }
}
