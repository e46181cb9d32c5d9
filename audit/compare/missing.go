package compare

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// missing lists the movements without an outcome.
func (c *Contrast) missing() []int {
	var rows []int
	for i, a := range c.d.Achieved {
		if math.IsNaN(a) {
			rows = append(rows, i)
		}
	}
	return rows
}

// MissingShares are the shares of outcomes missing in the reference and in the
// treated arm.
func (c *Contrast) MissingShares() (shares [2]float64) {
	var n, left [2]float64
	for i, a := range c.d.Achieved {
		k := b2i(c.d.Treated[i])
		n[k]++
		left[k] += float64(b2i(math.IsNaN(a)))
	}
	for k := range n {
		if n[k] > 0 {
			shares[k] = left[k] / n[k]
		}
	}
	return shares
}

// MissingShare fails where more outcomes are missing in either arm than the
// options allow: what is not there then outweighs what chance can do.
func (c *Contrast) MissingShare() Check {
	s := c.MissingShares()
	k := Check{ID: MissingShare, Applies: max(s[0], s[1]) > 0, Decides: ManyMissing, Who: -1}
	k.Estimate.Value = math.NaN()
	k.Holds = max(s[0], s[1]) <= c.o.MaxMissing
	return k
}

// MissingAlike gives the movements without an outcome no difference: each gets
// what the model without the choice expects of its mouth, plan and covariates.
// The standard error stays at least that of the measured movements, so that
// invented outcomes add no information (the idea of information-anchored
// analysis: Cro, Carpenter & Kenward 2019, J R Stat Soc A 182:623-645, from
// memory).
func (c *Contrast) MissingAlike() Check {
	gone := c.missing()
	k := Check{ID: MissingAlike, Applies: len(gone) > 0, Holds: true, Decides: MissingOutcomes, Who: -1, Estimate: c.Estimate}
	if !k.Applies {
		return k
	}
	k.Estimate = c.filledAlike()
	k.Holds = c.keeps(k.Estimate)
	return k
}

// everything fits outcomes of every movement, the design being decomposed once.
func (c *Contrast) everything(y []float64) stats.Estimate {
	if c.whole != nil {
		return c.estimate(c.refit(y))
	}
	c.all = c.d.telling(c.d.all())
	fit, err := robust.FitAbsorbed(c.model(c.all, y, c.cols))
	if err == nil {
		c.whole = fit
	}
	return c.estimate(fit, err)
}

// refit is the fit of everything to other outcomes.
func (c *Contrast) refit(y []float64) (*robust.AbsorbedFit, error) {
	return c.whole.Refit(of(c.d.Arena.Room, y, c.all))
}

// value is that of everything, which needs no error.
func (c *Contrast) value(y []float64) float64 {
	if c.whole == nil {
		return c.everything(y).Value
	}
	fit, err := c.refit(y)
	if err != nil {
		return math.NaN()
	}
	return fit.Coef[len(fit.Coef)-1]
}

// alike is the share by which numbers differ that are the same but for rounding: where no
// mouth with both choices lacks an outcome, those without add nothing.
const alike = 1e-9

// filled refits with outcomes for every movement and anchors the error.
func (c *Contrast) filled(y []float64) stats.Estimate {
	e := c.everything(y)
	if e.SE < (1-alike)*c.Estimate.SE || e.DF > (1+alike)*c.Estimate.DF {
		half := (c.Estimate.High - c.Estimate.Low) / 2
		e.SE, e.DF, e.Low, e.High, e.P = c.Estimate.SE, c.Estimate.DF, e.Value-half, e.Value+half, math.NaN()
	}
	return e
}

// filledAlike is the difference with the outcomes that are expected, found once.
func (c *Contrast) filledAlike() stats.Estimate {
	if c.alike == nil {
		e := c.filled(c.expected())
		c.alike = &e
	}
	return *c.alike
}

// expected completes the outcomes by the model without the choice.
func (c *Contrast) expected() []float64 {
	if c.completed == nil {
		c.completed = c.complete(c.missing())
	}
	return c.completed
}

func (c *Contrast) complete(gone []int) []float64 {
	adjusters := c.cols[:len(c.cols)-1]
	coef := make([]float64, len(adjusters))
	if len(adjusters) > 0 {
		if all, err := c.main.coef(adjusters, nil); err == nil {
			for k, b := range all {
				if !math.IsNaN(b) {
					coef[k] = b
				}
			}
		}
	}
	line := c.line(adjusters, coef)
	level, weight := c.d.Arena.Floats(c.d.mouths), c.d.Arena.Floats(c.d.mouths)
	for _, i := range c.rows {
		level[c.d.mouth[i]] += c.d.Planned[i] * (c.y[i] - line[i])
		weight[c.d.mouth[i]] += c.d.Planned[i]
	}
	y := c.copied(c.y)
	for _, i := range gone {
		y[i] = line[i]
		if w := weight[c.d.mouth[i]]; w > 0 {
			y[i] += level[c.d.mouth[i]] / w
		}
	}
	return y
}

// line is what columns with coefficients expect of every movement, but for the level of
// its mouth. Indicators that share codes are added as one.
func (c *Contrast) line(cols []column, coef []float64) []float64 {
	out := c.d.Arena.Floats(len(c.y))
	for k := 0; k < len(cols); {
		col := &cols[k]
		if col.Values != nil {
			for i := range out {
				out[i] += coef[k] * col.At(i)
			}
			k++
			continue
		}
		var of []float64 // by code
		for ; k < len(cols) && cols[k].Values == nil && same(cols[k].Codes, col.Codes); k++ {
			for int(cols[k].Code) >= len(of) {
				of = append(of, 0)
			}
			of[cols[k].Code] = coef[k]
		}
		for i, code := range col.Codes {
			if int(code) < len(of) {
				out[i] += of[code]
			}
		}
	}
	return out
}

// Extremes are the difference with every missing outcome against the treated
// arm (it expressed nothing, the reference all) and for it. Printed; they never
// decide, since with a tenth missing they alone move a difference by ten points.
func (c *Contrast) Extremes() (against, in stats.Estimate, ok bool) {
	gone := c.missing()
	if len(gone) == 0 {
		return against, in, false
	}
	y := c.copied(c.y)
	fill := func(treated float64) stats.Estimate {
		for _, i := range gone {
			if y[i] = 1 - treated; c.d.Treated[i] {
				y[i] = treated
			}
		}
		return c.everything(y)
	}
	return fill(0), fill(1), true
}

// leastSlope is the least that a difference loses for each 1 of expression that unmeasured
// movements lose; below it is rounding, of mouths in which nothing was measured.
const leastSlope = 1e-9

// TippingPoint is how much less (for a difference above zero; more for one
// below) the unmeasured movements of the treated arm would have to have reached
// than like ones, in expression, for the interval to reach zero. +Inf where no
// amount does, NaN without missing outcomes in that arm.
func (c *Contrast) TippingPoint() float64 {
	gone := c.missing()
	shifted := c.copied(c.expected())
	any := false
	for _, i := range gone {
		if c.d.Treated[i] {
			any = true
			shifted[i]--
		}
	}
	if !any {
		return math.NaN()
	}
	base := c.filledAlike()
	slope := base.Value - c.value(shifted) // lost by the difference for each 1 of expression
	if !(slope > leastSlope) {
		return math.Inf(1)
	}
	if c.Estimate.Value > 0 {
		return max(0, base.Low) / slope
	}
	return max(0, -base.High) / slope
}
