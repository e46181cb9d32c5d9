package compare

import (
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// Check is one other way to make the comparison, and whether the answer stands.
type Check struct {
	ID       string
	Estimate stats.Estimate
	// Applies: there was something to check. Holds: the sign stays, and where
	// the check has an interval, it leaves out zero.
	Applies, Holds bool
	Who            int // patient or clinician left out, tooth class set apart; -1 for none
	Decides        Reason
}

// Ids of the deciding checks, in the order in which they are told.
const (
	WithoutPatient   = "without-one-patient"
	Winsorised       = "winsorised"
	MissingAlike     = "missing-alike"
	MissingShare     = "missing-share"
	WithoutClinician = "without-one-clinician"
	ClassesAlike     = "classes-alike"
	WithoutClass     = "without-one-class"
	FullyAdjusted    = "fully-adjusted"
	WithoutDoubted   = "without-doubtful-amounts"
)

// Checks makes every deciding check of a comparison that can be judged. A
// verdict of higher or lower must survive all that apply.
func (c *Contrast) Checks() []Check {
	if c.Failed != "" || c.checks != nil {
		return c.checks
	}
	for _, check := range deciding {
		c.checks = append(c.checks, check.make(c))
	}
	return c.checks
}

// deciding are the checks in the order in which they are told.
var deciding = []struct {
	id   string
	make func(*Contrast) Check
}{
	{WithoutDoubted, (*Contrast).WithoutDoubted},
	{WithoutPatient, (*Contrast).WithoutPatient},
	{Winsorised, (*Contrast).Winsorised},
	{MissingShare, (*Contrast).MissingShare},
	{MissingAlike, (*Contrast).MissingAlike},
	{WithoutClinician, (*Contrast).WithoutClinician},
	{FullyAdjusted, (*Contrast).FullyAdjusted},
	{ClassesAlike, (*Contrast).ClassesAlike},
	{WithoutClass, (*Contrast).WithoutClass},
}

// keeps reports an interval on the side of the estimate that leaves out zero.
func (c *Contrast) keeps(e stats.Estimate) bool {
	if c.Estimate.Value > 0 {
		return e.Low > 0
	}
	return e.High < 0
}

// estimate is the difference of a fit, if there is one.
func (c *Contrast) estimate(fit *robust.AbsorbedFit, err error) stats.Estimate {
	if err != nil {
		return nothing(c.o.Level)
	}
	return last(fit, c.o.Level)
}

// copied is a copy of outcomes.
func (c *Contrast) copied(y []float64) []float64 {
	out := c.d.Arena.Room(len(y))
	copy(out, y)
	return out
}

// rowsWithout lists the measured movements that are not left out.
func (c *Contrast) rowsWithout(out func(i int) bool) []int {
	return slices.DeleteFunc(slices.Clone(c.rows), out)
}

// WithoutDoubted leaves out the amounts that cannot be right as they stand. A
// difference that they make is none; one that they hide is for Judge to tell.
func (c *Contrast) WithoutDoubted() Check {
	k := Check{ID: WithoutDoubted, Holds: true, Decides: DoubtfulAmounts, Who: -1}
	if rows := c.undoubted(); len(rows) < len(c.rows) {
		nest := c.nest(rows)
		defer c.d.Arena.Release(c.d.Arena.Mark())
		k.Applies, k.Estimate = true, c.estimate(nest.fit(c.cols))
		k.Holds = c.keeps(k.Estimate)
		c.certain = &k.Estimate.Value
	}
	return k
}

// amongCertain is the difference without amounts that cannot be right.
func (c *Contrast) amongCertain(rows []int) float64 {
	if len(rows) == len(c.rows) {
		return c.Estimate.Value
	}
	if c.certain == nil {
		c.WithoutDoubted()
	}
	return *c.certain
}

// undoubted lists the measured movements whose amounts can be right.
func (c *Contrast) undoubted() []int {
	return c.rowsWithout(func(i int) bool { return c.d.Doubted != nil && c.d.Doubted[i] })
}

// WithoutPatient leaves out the patient whose leaving brings the difference
// nearest to zero, or past it: what one patient decides is nobody's rule.
func (c *Contrast) WithoutPatient() Check {
	defer c.d.Arena.Release(c.d.Arena.Mark())
	k := Check{ID: WithoutPatient, Applies: true, Decides: OnePatient, Who: -1}
	sign := math.Copysign(1, c.Estimate.Value)
	least := math.Inf(1)
	if c.fit.Clusters < c.Patients { // who tells nothing can leave, and nothing changes
		least = sign * c.Estimate.Value
	}
	for _, x := range c.fit.Influence(lastOf(len(c.fit.Names))) {
		if v := sign * x.Without; math.IsNaN(v) || v < least {
			if k.Who, least = x.Cluster, v; math.IsNaN(v) { // the rest has no answer
				break
			}
		}
	}
	if k.Estimate = c.Estimate; k.Who >= 0 {
		k.Estimate = c.estimate(c.fit.Without(k.Who))
	}
	k.Holds = c.keeps(k.Estimate)
	if i := slices.Index(c.d.patient, k.Who); i >= 0 {
		k.Who = c.d.Patient[i]
	}
	return k
}

// winsorAt are the percentiles beyond which expressions are brought in.
const winsorAt = 0.05

// Winsorised brings expressions beyond the cell's 5th and 95th percentiles to
// them (Wilcox 2005, Introduction to Robust Estimation and Hypothesis Testing; as
// psych::winsor(trim = 0.05) in R), so that no value far out carries the difference.
func (c *Contrast) Winsorised() Check {
	defer c.d.Arena.Release(c.d.Arena.Mark())
	q := stats.Quantiles(of(c.d.Arena.Floats, c.y, c.rows), winsorAt, 1-winsorAt)
	y := c.copied(c.y)
	for _, i := range c.rows {
		y[i] = min(max(y[i], q[0]), q[1])
	}
	k := Check{ID: Winsorised, Applies: true, Decides: OutlyingValues, Who: -1, Estimate: c.estimate(c.fit.Refit(of(c.d.Arena.Floats, y, c.told)))}
	k.Holds = c.keeps(k.Estimate)
	return k
}

// FullyAdjusted adds the recorded covariates that found no room: what a small
// number of movements leaves unadjusted must not be what makes the difference. The
// model without them may be biased, so that this one must answer for chance alone:
// Judge corrects its P over the family too, and below FewestDF it has no answer.
func (c *Contrast) FullyAdjusted() Check {
	k := Check{ID: FullyAdjusted, Applies: len(c.Left) > 0, Holds: true, Decides: LeftUnadjusted, Who: -1, Estimate: c.Estimate}
	if k.Applies {
		defer c.d.Arena.Release(c.d.Arena.Mark())
		k.Estimate = c.estimate(c.main.fit(c.full))
		k.Holds = c.keeps(k.Estimate) && k.Estimate.DF >= FewestDF
	}
	return k
}
