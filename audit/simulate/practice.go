package simulate

import (
	"math"
	"math/rand/v2"

	"shortfall/ingest/casebook"
)

// Practice is a practice to simulate; Scenario functions change it. Expressions
// are ratios: 0.10 is ten points of a hundred.
type Practice struct {
	Cases     int
	Movements int // a case in its initial course, before Extra
	// Within is the standard deviation of expression within a mouth; ICC the
	// share of the variance that lies between patients.
	Within, ICC float64
	// Missing is the share of outcomes that are not measured.
	Missing    float64
	Directions []casebook.Direction
	// Effect is clinician-designed minus software-suggested by direction, the truth.
	Effect map[casebook.Direction]float64
	// ClassEffect is added for single tooth classes, in ClassDirection or, where that
	// is none, in all.
	ClassEffect    map[casebook.ToothClass]float64
	ClassDirection casebook.Direction
	Refinements    bool // followed by a course that plans again what was left

	// Enlarged plans of clinicians are so many times what is needed, and what is achieved
	// follows the need; 0: none are.
	Enlarged float64

	// The ways in which a practice differs from an experiment; each may be nil.
	Style      func(rng *rand.Rand, c *Patient, m *Plan) float64 // log odds of clinician-designed
	Amount     func(rng *rand.Rand, clinician bool, m *Plan) float64
	Expected   func(c *Patient, m *Plan, planned float64) float64 // added to the expected expression
	Extra      func(c *Patient) int                               // movements more or fewer
	Left       func(rng *rand.Rand, c *Patient, m *Plan) float64  // share missing instead of Missing
	Redesign   func(c *Patient, before float64) float64           // log odds in refinements
	Residual   func(rng *rand.Rand, c *Patient) float64           // instead of a normal one, in units of Within
	Misplaced  int                                                // decimals misplaced, of achieved amounts
	PatientOdd func(rng *rand.Rand) float64                       // patient's response instead of a normal one, in SDs
}

// Patient is what decides a patient's results.
type Patient struct {
	Response  float64 // added to every expression
	Month     int     // start, months after the first
	Clinician int     // 0 or 1
	Number    int
	Seed      uint64 // of what belongs to this patient alone
}

// Plan is one movement before its amount is drawn.
type Plan struct {
	Tooth     casebook.Tooth
	Direction casebook.Direction
	Easy      float64 // of this tooth, 0 for most
}

// Months over which the cases of a practice start.
const Months = 30

// Base is the expected expression of a direction without anything else.
const Base = 0.6

// New is a practice without any effect and without any trap.
func New(cases int, within, icc, missing float64) *Practice {
	return &Practice{
		Cases: cases, Movements: 12, Within: within, ICC: icc, Missing: missing,
		Directions: []casebook.Direction{casebook.Extrusion, casebook.MesialIn, casebook.TipMesial, casebook.TorqueBuccal},
		Effect:     map[casebook.Direction]float64{},
	}
}

// Make draws the practice.
func (p *Practice) Make(seed uint64) *casebook.Dataset {
	rng := rand.New(rand.NewPCG(seed, 0x5eed))
	ds := &casebook.Dataset{Invented: true}
	between := p.Within * math.Sqrt(p.ICC/(1-p.ICC))
	for i := range p.Cases {
		odd := rng.NormFloat64()
		if p.PatientOdd != nil {
			odd = p.PatientOdd(rng)
		}
		c := &Patient{Response: between * odd, Month: rng.IntN(Months), Clinician: rng.IntN(2), Number: i, Seed: rng.Uint64()}
		p.patient(rng, ds, c)
	}
	p.misplace(rng, ds)
	return ds
}

// patient draws one case: its log entry, its initial course, its refinement.
func (p *Practice) patient(rng *rand.Rand, ds *casebook.Dataset, c *Patient) {
	n := p.Movements
	if p.Extra != nil {
		n += p.Extra(c)
	}
	start := casebook.NewMonth(2023, 7) + casebook.Month(c.Month)
	var first []casebook.Movement
	seen := map[casebook.MovementKey]bool{}
	teeth := casebook.AllTeeth()
	for tries := 0; len(first) < n && tries < 50*n; tries++ {
		m := &Plan{Tooth: teeth[rng.IntN(len(teeth))], Direction: p.Directions[len(first)%len(p.Directions)]}
		if m.Tooth.Position() == 8 {
			continue
		}
		v := p.movement(rng, c, m)
		if seen[v.Key()] {
			continue
		}
		seen[v.Key()] = true
		first = append(first, v)
	}
	length := casebook.Month(8 + rng.IntN(8))
	ds.Cases = append(ds.Cases, caseOf(c, start, start+length))
	ds.Courses = append(ds.Courses, courseOf(c, 1, start))
	ds.Movements = append(ds.Movements, first...)
	if !p.Refinements {
		return
	}
	if next := p.refine(rng, c, first); len(next) > 0 {
		ds.Cases[len(ds.Cases)-1].End = start + 2*length
		ds.Courses = append(ds.Courses, courseOf(c, 2, start+length))
		ds.Movements = append(ds.Movements, next...)
	}
}

// movement draws the style, the amount and the result of one plan.
func (p *Practice) movement(rng *rand.Rand, c *Patient, m *Plan) casebook.Movement {
	style := casebook.StyleNone
	clinician := false
	if rng.Float64() > 0.15 {
		odds := -0.2
		if p.Style != nil {
			odds = p.Style(rng, c, m)
		}
		clinician = rng.Float64() < logistic(odds)
		if style = casebook.SoftwareSuggested; clinician {
			style = casebook.ClinicianDesigned
		}
	}
	planned := p.amount(rng, clinician, m)
	share := p.share(rng, c, m, planned, clinician)
	v := movementOf(c, 1, m, planned, style)
	left := p.Missing
	if p.Left != nil {
		left = p.Left(rng, c, m)
	}
	if rng.Float64() >= left {
		v.Achieved = casebook.Some(rounded(m.Direction.Axis(), v.Planned*share))
	}
	return v
}

// share is the expression of one movement.
func (p *Practice) share(rng *rand.Rand, c *Patient, m *Plan, planned float64, clinician bool) float64 {
	e := Base + c.Response + m.Easy
	if p.Expected != nil {
		e += p.Expected(c, m, planned)
	}
	if clinician {
		e += p.Effect[m.Direction]
		if p.ClassDirection == casebook.NoDirection || p.ClassDirection == m.Direction {
			e += p.ClassEffect[m.Tooth.Class()]
		}
	}
	if p.Residual != nil {
		e += p.Within * p.Residual(rng, c)
	} else {
		e += p.Within * rng.NormFloat64()
	}
	if clinician && p.Enlarged > 0 {
		e /= p.Enlarged
	}
	return e
}

// Typical is the middle planned amount of a direction's unit.
func Typical(d casebook.Direction) float64 {
	if d.Axis().Unit() == casebook.Millimetre {
		return 1
	}
	return 8
}

func (p *Practice) amount(rng *rand.Rand, clinician bool, m *Plan) float64 {
	x := 0.0
	if p.Amount != nil {
		x = p.Amount(rng, clinician, m)
	} else {
		x = math.Exp(0.45 * rng.NormFloat64())
		if clinician { // clinicians override the larger plans
			x *= 1.15
		}
	}
	if clinician && p.Enlarged > 0 {
		x *= p.Enlarged
	}
	return math.Max(rounded(m.Direction.Axis(), Typical(m.Direction)*x), 0.3*Typical(m.Direction))
}

// refine plans again what fell short by a fifth or more of the plan.
func (p *Practice) refine(rng *rand.Rand, c *Patient, first []casebook.Movement) (out []casebook.Movement) {
	for _, v := range first {
		if !v.Achieved.OK {
			continue
		}
		left := v.Planned - v.Achieved.Value
		if left*v.Planned <= 0 || math.Abs(left) < 0.2*math.Abs(v.Planned) || math.Abs(left) < 0.25*Typical(v.Direction()) {
			continue
		}
		before := v.Achieved.Value / v.Planned
		odds := -0.2
		if p.Redesign != nil {
			odds = p.Redesign(c, before)
		}
		style := casebook.SoftwareSuggested
		clinician := rng.Float64() < logistic(odds)
		if clinician {
			style = casebook.ClinicianDesigned
		}
		m := &Plan{Tooth: v.Tooth, Direction: v.Direction()}
		planned := rounded(v.Axis, math.Abs(left))
		w := movementOf(c, 2, m, planned, style)
		w.Achieved = casebook.Some(rounded(v.Axis, w.Planned*p.share(rng, c, m, planned, clinician)))
		out = append(out, w)
	}
	return out
}

// misplace multiplies single results by ten.
func (p *Practice) misplace(rng *rand.Rand, ds *casebook.Dataset) {
	for done, tries := 0, 0; done < p.Misplaced && tries < 1000; tries++ {
		v := &ds.Movements[rng.IntN(len(ds.Movements))]
		if v.Achieved.OK && v.Style != casebook.StyleNone {
			v.Achieved.Value *= 10
			done++
		}
	}
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// rounded as a sheet has it: hundredths of a millimetre, tenths of a degree.
func rounded(a casebook.Axis, x float64) float64 {
	if a.Unit() == casebook.Millimetre {
		return math.Round(100*x) / 100
	}
	return math.Round(10*x) / 10
}
