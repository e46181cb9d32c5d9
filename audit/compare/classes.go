package compare

import (
	"fmt"
	"math"
	"slices"
)

// leastMouths of a tooth class under each choice, among the patients that
// carry both, before classes are set against each other.
const leastMouths = 10

// ClassesAlike tests that the difference is the same in all tooth classes
// (approximate Hotelling T-squared on the products of choice and class). Where
// it is not, one number for all teeth speaks for none.
func (c *Contrast) ClassesAlike() Check {
	k := Check{ID: ClassesAlike, Holds: true, Decides: ClassesDiffer, Who: -1}
	k.Estimate.Value, k.Estimate.P = math.NaN(), math.NaN()
	classes := c.testable()
	if k.Applies = len(classes) > 1; !k.Applies {
		return k
	}
	p, ok := c.classTest(classes)
	k.Applies, k.Estimate.P = ok, p
	k.Holds = !ok || !(p < c.o.ClassAlpha)
	return k
}

// testable lists the classes that enough mouths hold under either choice.
func (c *Contrast) testable() (classes []int) {
	if c.d.Class == nil {
		return nil
	}
	mouths, _ := c.d.both(c.rows)
	type key struct{ class, arm, patient int }
	seen := map[key]bool{}
	count := map[int]*[2]int{}
	for _, i := range c.rows {
		if !mouths[c.d.mouth[i]] || c.d.Class[i] == 0 {
			continue
		}
		k := key{c.d.Class[i], b2i(c.d.Treated[i]), c.d.patient[i]}
		if !seen[k] {
			seen[k] = true
			if count[k.class] == nil {
				count[k.class] = &[2]int{}
			}
			count[k.class][k.arm]++
		}
	}
	for _, class := range sortedKeys(count) {
		if min(count[class][0], count[class][1]) >= leastMouths {
			classes = append(classes, class)
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
	fit, err := c.d.within(rows, c.y, cols)
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
