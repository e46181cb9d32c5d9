package compare

import (
	"math"
	"slices"

	"shortfall/audit/stats/robust"
)

// leastMouths with both choices in which a class has teeth under the one, and under
// the other, before it is set against the others: fewer say nothing of the class.
// One mouth need not hold both in one class: what compares classes is the mouth.
const leastMouths = 10

// ClassesAlike tests that the difference is the same in all tooth classes
// (approximate Hotelling T-squared on the products of choice and class). Where
// it is not, one number for all teeth speaks for none. Whether it holds is for
// Judge to say: as many directions are asked this as are judged, and their P
// values are corrected like those of the differences; else one true finding in
// twenty would be lost to chance alone.
func (c *Contrast) ClassesAlike() Check {
	k := Check{ID: ClassesAlike, Holds: true, Decides: ClassesDiffer, Who: -1}
	k.Estimate.Value, k.Estimate.P = math.NaN(), math.NaN()
	classes := c.testable()
	if k.Applies = len(classes) > 1; !k.Applies {
		return k
	}
	p, ok := c.classTest(classes)
	k.Applies, k.Estimate.P = ok, p
	return k
}

// testable lists the classes that enough mouths hold under either choice.
func (c *Contrast) testable() (classes []int) {
	for _, k := range c.classes() {
		if c.enough(func(i int) bool { return int(c.d.Class[i]) == k }) {
			classes = append(classes, k)
		}
	}
	return classes
}

// classes of the measured movements, 0 for unknown left out.
func (c *Contrast) classes() []int {
	if c.d.Class == nil {
		return nil
	}
	var seen []bool // by class
	for _, i := range c.rows {
		for int(c.d.Class[i]) >= len(seen) {
			seen = append(seen, false)
		}
		seen[c.d.Class[i]] = true
	}
	var out []int
	for class, there := range seen {
		if class > 0 && there {
			out = append(out, class)
		}
	}
	return out
}

// enough reports that the teeth wanted stand under the one choice, and under the
// other, in leastMouths patients with both.
func (c *Contrast) enough(wanted func(i int) bool) bool {
	seen := [2][]bool{make([]bool, c.d.patients), make([]bool, c.d.patients)}
	var n [2]int
	for _, i := range c.rows {
		if arm := seen[b2i(c.d.Treated[i])]; wanted(i) && c.mouths[c.d.mouth[i]] && !arm[c.d.patient[i]] {
			arm[c.d.patient[i]] = true
			n[b2i(c.d.Treated[i])]++
		}
	}
	return min(n[0], n[1]) >= leastMouths
}

// classTest gives the P value of alike differences among the classes.
func (c *Contrast) classTest(classes []int) (p float64, ok bool) {
	nest := c.nest(c.rows)
	defer c.d.Arena.Release(c.d.Arena.Mark())
	rows := slices.DeleteFunc(slices.Clone(c.rows), func(i int) bool { return !slices.Contains(classes, int(c.d.Class[i])) })
	var cols []column
	for _, col := range c.cols[:len(c.cols)-1] {
		if len(rows) == len(c.rows) || c.d.variesIn(rows, &col) > 0 {
			cols = append(cols, col)
		}
	}
	for _, class := range classes[1:] { // levels of the classes; those already in are dropped again
		cols = append(cols, c.named(levelOf(class)))
	}
	own := len(cols)
	cols = append(cols, c.cols[len(c.cols)-1])
	for _, class := range classes[1:] {
		cols = append(cols, c.named(choiceIn(class)))
	}
	fit, err := nest.fit(cols)
	if len(rows) < len(c.rows) {
		fit, err = c.within(rows, c.y, cols)
	}
	if err != nil {
		return math.NaN(), false
	}
	for _, col := range cols[own:] {
		if slices.Contains(fit.Dropped, col.name) {
			return math.NaN(), false
		}
	}
	contrasts := make([][]float64, len(classes)-1)
	for k := range contrasts {
		contrasts[k] = make([]float64, len(cols))
		contrasts[k][own+1+k] = 1
	}
	t := fit.JointTest(contrasts)
	return t.P, !math.IsNaN(t.P)
}

// LeastAmongOthers is the part of a difference that must be there among the other
// teeth, whichever tooth class has a difference of its own. Chosen by simulation: a
// difference in one class alone was called for all teeth in up to 14 % of directions
// with none and 4.7 % with 0.6, which costs 2.8 points of power (of 25) where 60
// patients differ by 15 points at a standard deviation of 0.3, and 2.4 (of 93) where
// 100 differ by 20 at 0.25. With 0.65 it is 3.6 %, for 4.4 and 4.8 points.
const LeastAmongOthers = 0.6

// WithoutClass gives one tooth class after the other a difference of its own: what
// is left among the other teeth must keep the sign and LeastAmongOthers of the
// difference, else one class makes it. The teeth of the class stay in the model and
// tell the level of their mouth: with them left out, most mouths of few teeth would
// say nothing, and the same share of false calls would cost three times the power.
// A class is set apart where the others can be compared in ten mouths. Amounts that
// cannot be right say nothing of classes and are left out.
func (c *Contrast) WithoutClass() Check {
	k := Check{ID: WithoutClass, Holds: true, Decides: ClassesDiffer, Who: -1}
	k.Estimate.Value = math.NaN()
	rows := c.undoubted()
	whole, nest := c.amongCertain(rows), c.nest(rows)
	sign, least := math.Copysign(1, whole), math.Inf(1)
	for _, class := range c.classes() {
		if !c.enough(func(i int) bool { return int(c.d.Class[i]) != class }) {
			continue
		}
		if v := sign * nest.difference(c.amongOthers(class), nil); v < least {
			least, k.Who, k.Applies = v, class, true
		}
	}
	if k.Applies { // its error is needed for this one alone
		defer c.d.Arena.Release(c.d.Arena.Mark())
		k.Estimate = c.estimate(nest.fit(c.amongOthers(k.Who)))
	}
	k.Holds = !k.Applies || least >= LeastAmongOthers*math.Abs(whole)
	return k
}

// amongOthers are the columns of a model in which the class has a difference of its own,
// so that the choice, the last, is that among the other teeth.
func (c *Contrast) amongOthers(class int) []column {
	last := len(c.cols) - 1
	return append(slices.Clone(c.cols[:last]), c.named(levelOf(class)), c.named(choiceIn(class)), c.cols[last])
}

// product is the indicator of a class, times values where there are any.
func (c *Contrast) product(name string, class int, values []float64) column {
	return column{name, robust.Column{Values: values, Codes: c.d.Class, Code: int32(class)}}
}
