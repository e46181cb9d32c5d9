package compare

import (
	"math"
	"slices"
)

// WithoutClinician leaves out the cases of one clinician after the other: the
// sign must stay. It does not apply with fewer than two clinicians.
func (c *Contrast) WithoutClinician() Check {
	k := Check{ID: WithoutClinician, Holds: true, Decides: OneClinician, Who: -1}
	k.Estimate.Value = math.NaN()
	if c.d.Clinician == nil {
		return k
	}
	all := c.clinicians()
	if k.Applies = slices.ContainsFunc(all, func(one clinician) bool { return 0 < one.movements && one.movements < len(c.rows) }); !k.Applies {
		return k
	}
	sign, least := math.Copysign(1, c.Estimate.Value), math.Inf(1)
	for code := range all {
		if all[code].movements == 0 {
			continue
		}
		if v := sign * c.without(code, &all[code]); v < least { // NaN: the others carry no comparison, which is not a change of sign
			least, k.Who = v, code
		}
	}
	k.Estimate.Value = sign * least
	k.Holds = least > 0
	return k
}

// clinician is who treated some of the measured movements.
type clinician struct {
	movements int
	rows      []int // those that tell something, by their place among all that do
	compared  int   // movements that are compared without him
	shared    bool  // a patient of several clinicians goes in part
}

// clinicians of the measured movements, by code; those of the cell's others have none.
func (c *Contrast) clinicians() []clinician {
	d := c.d
	all := make([]clinician, 1+slices.Max(d.Clinician))
	for r, i := range c.told {
		one := &all[d.Clinician[i]]
		one.rows = append(one.rows, r)
	}
	defer d.Arena.Release(d.Arena.Mark())
	ofPatient, ofMouth := d.Arena.Ints(d.patients), d.Arena.Ints(d.mouths) // code + 2, 0 for none yet, 1 for several
	see := func(of []int, k, code int) {
		switch {
		case of[k] == 0:
			of[k] = code + 2
		case of[k] != code+2:
			of[k] = 1
		}
	}
	for _, i := range c.rows {
		code := d.Clinician[i]
		all[code].movements++
		see(ofPatient, d.patient[i], code)
		see(ofMouth, d.mouth[i], code)
	}
	mouths, own := 0, make([]int, len(all)) // his alone
	for _, of := range ofMouth {
		mouths += b2i(of > 0)
		if of > 1 {
			own[of-2]++
		}
	}
	for code := range all {
		one := &all[code]
		one.compared = len(c.rows) - one.movements - (mouths - own[code])
		one.shared = slices.ContainsFunc(one.rows, func(r int) bool { return ofPatient[d.patient[c.told[r]]] != code+2 })
	}
	return all
}

// without is the difference among the other clinicians' movements, adjusted for what
// these have room for; NaN where they carry none.
func (c *Contrast) without(code int, leaves *clinician) float64 {
	d := c.d
	defer d.Arena.Release(d.Arena.Mark())
	in, _, _ := choose(c.candidates, leaves.compared)
	cols := append(modelOf(in), c.cols[len(c.cols)-1])
	if !leaves.shared && c.main.holds(cols) {
		return c.main.difference(cols, leaves.rows)
	}
	rows := c.rowsWithout(func(i int) bool { return d.Clinician[i] == code })
	fit, err := c.within(rows, c.y, cols)
	if err != nil {
		return math.NaN()
	}
	return fit.Coef[len(fit.Coef)-1]
}
