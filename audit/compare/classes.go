package compare

import (
	"fmt"
	"math"
	"slices"
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
	if c.d.Class == nil {
		return nil
	}
	patients := map[int]*[2]map[int]bool{}
	for _, i := range c.rows {
		k := c.d.Class[i]
		if k == 0 || !c.mouths[c.d.mouth[i]] {
			continue
		}
		if patients[k] == nil {
			patients[k] = &[2]map[int]bool{{}, {}}
		}
		patients[k][b2i(c.d.Treated[i])][c.d.patient[i]] = true
	}
	for _, k := range sortedKeys(patients) {
		if arms := patients[k]; min(len(arms[0]), len(arms[1])) >= leastMouths {
			classes = append(classes, k)
		}
	}
	return classes
}

// classTest gives the P value of alike differences among the classes.
func (c *Contrast) classTest(classes []int) (p float64, ok bool) {
	rows := slices.DeleteFunc(slices.Clone(c.rows), func(i int) bool { return !slices.Contains(classes, c.d.Class[i]) })
	var cols []column
	for _, col := range c.cols[:len(c.cols)-1] {
		if c.d.variesIn(rows, col.values) > 0 {
			cols = append(cols, col)
		}
	}
	for _, class := range classes[1:] { // levels of the classes; those already in are dropped again
		cols = append(cols, c.product(fmt.Sprintf("class %d", class), class, nil))
	}
	own := len(cols)
	treated := c.cols[len(c.cols)-1]
	cols = append(cols, treated)
	for _, class := range classes[1:] {
		cols = append(cols, c.product(fmt.Sprintf("choice in class %d", class), class, treated.values))
	}
	fit, err := c.within(rows, c.y, cols)
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

// product is the indicator of a class, times values where there are any.
func (c *Contrast) product(name string, class int, values []float64) column {
	v := make([]float64, len(c.d.Class))
	for i, k := range c.d.Class {
		if k == class {
			if v[i] = 1; values != nil {
				v[i] = values[i]
			}
		}
	}
	return column{name, v}
}
