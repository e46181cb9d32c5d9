package compare

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/robust"
)

// Reason is a stable id for why a verdict is what it is.
type Reason string

// The reasons of higher and lower, of not distinguishable, of not comparable.
const (
	Holds Reason = "holds-within-mouths"

	WithinChance    Reason = "within-chance"
	OnePatient      Reason = "one-patient-decides"
	OutlyingValues  Reason = "outlying-values-decide"
	ManyMissing     Reason = "many-missing"
	MissingOutcomes Reason = "missing-outcomes-decide"
	OneClinician    Reason = "one-clinician-decides"
	LeftUnadjusted  Reason = "left-unadjusted"
	ClassesDiffer   Reason = "classes-differ"
	DoubtfulAmounts Reason = "doubtful-amounts-decide"

	DifferentPatients Reason = "different-patients"
	NoOverlap         Reason = "no-overlap"
	NotAdjusted       Reason = "essential-not-adjusted"
	NotEstimable      Reason = "not-estimable"
	FewDF             Reason = "few-degrees-of-freedom"
	NoEarlierCourse   Reason = "no-earlier-course"
	NotALook          Reason = "not-a-look"
	NothingLater      Reason = "nothing-later"
)

// FewestDF is the smallest Satterthwaite degrees of freedom a verdict rests
// on; below 4 the approximation fails (Tipton 2015, Psychol Methods 20:375-393).
const FewestDF = 4

// SameMouth is the difference within mouths.
type SameMouth struct {
	Estimate stats.Estimate // treated less reference, in expression; for each 1 of a dose
	Patients int            // with an outcome in the cell
	Both     int            // of these, patients that carry both choices in one mouth
	Mouths   int            // that hold both
	// Movements with an outcome; Contributing are those of mouths that hold both.
	Movements, Contributing int
	// MeanPlanned is the mean plan of the contributing movements, so that
	// Estimate times it is the difference in millimetres or degrees.
	MeanPlanned float64
	// Mean is the expression of the contributing movements (total achieved over
	// total planned): the middle about which half the difference is drawn.
	Mean      float64
	Adjusters []string
	Left      []string // recorded, but no room
	// Failed says why there is no comparison; empty where there is one.
	Failed Reason
	Detail string // of Failed, for the sentence
}

// Contrast is one cell made ready; its checks share the choice of columns.
type Contrast struct {
	SameMouth
	d          *Data
	o          Options
	rows       []int
	told       []int // those of rows that tell something: see telling
	y          []float64
	cols       []column // adjusters, then the choice
	candidates []adjuster
	full       []column // with the adjusters there was no room for
	fit        *robust.AbsorbedFit
	// models of rows; with every column, of rows and of those that are not doubted: see nest.
	main, nested, certainly *nest
	every                   []column

	mouths []bool // that hold both choices
	// once made:
	checks    []Check
	overlap   *confound.OverlapResult
	certain   *float64            // the difference without amounts that cannot be right
	completed []float64           // outcomes, expected where missing
	alike     *stats.Estimate     // the difference with them
	whole     *robust.AbsorbedFit // of every movement that tells something, which are
	all       []int               // these
}

// New fits the difference within mouths. An error is a mistake of the caller.
func New(d *Data, o Options) (*Contrast, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	d.index()
	c := &Contrast{d: d, o: o, rows: d.observed(), y: d.expression()}
	c.mouths, c.Both = d.both(c.rows)
	c.Patients, c.Movements = distinct(d.patient, d.patients, c.rows), len(c.rows)
	c.Estimate = nothing(o.Level)
	for _, holds := range c.mouths {
		c.Mouths += b2i(holds)
	}
	for _, i := range c.rows {
		if c.mouths[d.mouth[i]] {
			c.Contributing++
			c.MeanPlanned += d.Planned[i]
			c.Mean += d.Achieved[i]
		}
	}
	c.Mean /= c.MeanPlanned
	c.MeanPlanned /= float64(c.Contributing)
	if c.Both < 2 {
		c.fail(DifferentPatients, "")
		return c, nil
	}
	return c, c.fitAll()
}

// fitAll chooses the columns and fits.
func (c *Contrast) fitAll() error {
	c.told = c.d.telling(c.rows)
	c.candidates = c.d.candidates(c.rows, c.told)
	in, left, missing := choose(c.candidates, c.d.compared(c.rows))
	c.Left = left
	for _, a := range in {
		c.Adjusters = append(c.Adjusters, a.name)
	}
	choice := c.d.choice()
	c.cols, c.full = append(modelOf(in), choice), append(modelOf(c.candidates), choice)
	c.main = c.newNest(c.told, c.ownColumns())
	var err error
	if c.fit, err = c.main.fit(c.cols); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	if slices.Contains(c.fit.Dropped, Treatment) {
		c.fail(NotEstimable, "the recorded covariates determine the choice")
		return nil
	}
	if c.Estimate = last(c.fit, c.o.Level); c.Estimate.DF < FewestDF { // an interval on the word of two or three patients is none
		c.Estimate.Low, c.Estimate.High, c.Estimate.P = math.NaN(), math.NaN(), math.NaN()
	}
	c.judgeable(missing)
	return nil
}

// judgeable sets why the estimate carries no verdict.
func (c *Contrast) judgeable(missing string) {
	overlap := c.Overlap()
	switch {
	case c.Both < c.o.LeastBoth:
		c.fail(DifferentPatients, "")
	case missing != "":
		c.fail(NotAdjusted, missing)
	case !(c.Estimate.SE > 0) || math.IsInf(c.Estimate.SE, 0):
		c.fail(NotEstimable, "the difference has no standard error")
	case c.Estimate.DF < FewestDF:
		c.fail(FewDF, "")
	case !overlap.Enough:
		c.fail(NoOverlap, overlap.Reason)
	}
}

func (c *Contrast) fail(why Reason, detail string) { c.Failed, c.Detail = why, detail }

// Overlap of the planned amounts in the mouths that hold both choices: only
// they say anything of the difference.
func (c *Contrast) Overlap() confound.OverlapResult {
	if c.overlap != nil {
		return *c.overlap
	}
	defer c.d.Arena.Release(c.d.Arena.Mark())
	var x [2][]float64
	var cases [2][]int
	for k := range x {
		x[k], cases[k] = c.d.Arena.Room(len(c.rows))[:0], c.d.Arena.Places(len(c.rows))[:0]
	}
	for _, i := range c.rows {
		if c.mouths[c.d.mouth[i]] {
			k := b2i(c.d.Treated[i])
			x[k], cases[k] = append(x[k], c.d.Planned[i]), append(cases[k], c.d.patient[i])
		}
	}
	r, err := confound.Overlap(x[1], x[0], cases[1], cases[0], confound.DefaultOverlap())
	if err != nil {
		r = confound.OverlapResult{Reason: err.Error()}
	}
	c.overlap = &r
	return r
}
