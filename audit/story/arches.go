package story

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// lowest gives the axes by expression over all teeth in initial courses, lowest
// first, among those with an interval.
func (t *teller) lowest() []*results.Cell {
	var out []*results.Cell
	for _, a := range casebook.Axes() {
		if c, ok := t.cells[results.By{Axis: a, Course: results.Initial}]; ok && !c.Suppressed && c.Estimate.OK() && c.Low.OK() {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	return out
}

// worst are the combinations of direction and tooth class that fell short most,
// beyond the tolerance on average: at most two.
func (t *teller) worst() []*results.Cell {
	out := slices.DeleteFunc(t.kinds(), func(c *results.Cell) bool {
		return c.High >= 1 || float64(c.MeanShortfall) <= t.s.Tolerance(c.Unit)
	})
	slices.SortStableFunc(out, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	return out[:min(2, len(out))]
}

// kinds are the combinations of direction and tooth class with an interval.
func (t *teller) kinds() (out []*results.Cell) {
	for i := range t.r.Expression {
		c := &t.r.Expression[i]
		if c.By != (results.By{Axis: c.By.Axis, Direction: c.By.Direction, ToothClass: c.By.ToothClass, Course: results.Initial}) ||
			c.By.Direction == casebook.NoDirection || c.By.ToothClass == casebook.NoClass || c.Suppressed || !c.High.OK() {
			continue
		}
		out = append(out, c)
	}
	return out
}

func classes(c casebook.ToothClass) string { return wording.Teeth(c) }

// arches are the axes with at least one tooth to show, those of page one marked.
func (t *teller) arches() results.FrontArches {
	out := results.FrontArches{}
	steadied, kinds := false, 0
	for _, a := range casebook.Axes() {
		arch, some, pooled := t.arch(a)
		if !some {
			continue
		}
		steadied = steadied || pooled
		if slices.ContainsFunc(arch.Teeth, func(f results.FrontTooth) bool { return f.OfKind }) {
			kinds++
		}
		out.Axes = append(out.Axes, arch)
	}
	if len(out.Axes) == 0 {
		return out
	}
	t.markFirst(out.Axes)
	out.Title, out.Sub = t.shortTitle(), archesSub(kinds, len(out.Axes))
	if steadied {
		out.Below = "Numbers of single teeth are drawn towards that of all teeth, the more the fewer their cases."
	}
	if kinds > 0 {
		out.Below = strings.TrimSpace(out.Below + " By kind: most single teeth have too few cases, so each shows all teeth of its kind in its arch.")
	}
	return out
}

// markFirst marks the two axes of page one: those that the title names, then
// those with the least achieved.
func (t *teller) markFirst(axes []results.FrontArch) {
	left := 2
	for _, c := range slices.Concat(t.worst(), t.lowest()) {
		for i := range axes {
			if left > 0 && axes[i].Axis == c.By.Axis && !axes[i].First {
				axes[i].First = true
				left--
			}
		}
	}
}

// archesSub says what a number in a tooth is. The title names one direction, an
// arch holds both.
func archesSub(kinds, axes int) string {
	const left = "; patient's right on the left"
	switch {
	case kinds == axes:
		return "Achieved, % of planned, first set: one value per kind of tooth; both directions" + left
	case kinds > 0:
		return "Achieved, % of planned, first set; by kind: one value per kind; both directions" + left
	}
	return "Achieved, % of planned, first set of aligners, both directions together" + left
}

// shortTitle states where plans fell short most: the headline where styles cannot
// be compared, the arches and the decisions all rest on worst.
func (t *teller) shortTitle() string {
	low := t.lowest()
	switch w := t.worst(); {
	case len(w) > 0:
		return "Plans fell short most in " + joined(kindsOf(w))
	case len(t.kinds()) > 0:
		return "No kind of movement with enough cases fell short by more than the tolerance on average"
	case len(low) > 0:
		return "Least was achieved in " + axisNoun(low[0].By.Axis) + ", " + wording.Percent(low[0].Estimate) + " of the plan"
	}
	return "Too few cases to say where plans fell short most"
}

// kindsOf words cells as "intrusion of molars"; one direction is named once, and
// both directions of one axis and class are the axis.
func kindsOf(cells []*results.Cell) (out []string) {
	for i, c := range cells {
		name := noun(c.By.Direction)
		if i > 0 {
			switch last := cells[i-1].By; {
			case c.By.Direction == last.Direction:
				out[len(out)-1] += " and " + classes(c.By.ToothClass)
				continue
			case c.By.Axis == last.Axis && c.By.ToothClass == last.ToothClass:
				out, name = out[:len(out)-1], axisNoun(c.By.Axis)
			}
		}
		out = append(out, name+" of "+classes(c.By.ToothClass))
	}
	return out
}

// arch of one axis; some is false where no tooth has anything to show.
func (t *teller) arch(a casebook.Axis) (arch results.FrontArch, some, pooled bool) {
	arch = results.FrontArch{Axis: a, Name: axisRow(a)}
	if c, ok := t.cells[results.By{Axis: a, Course: results.Initial}]; ok && !c.Suppressed && c.Estimate.OK() {
		arch.Under = "all teeth " + wording.Percent(c.Estimate)
	}
	meant := map[casebook.ToothClass]bool{}
	for _, c := range t.worst() {
		if c.By.Axis == a {
			meant[c.By.ToothClass] = true
		}
	}
	values := map[string]bool{}
	shown, there := 0, 0
	for _, tooth := range casebook.AllTeeth() {
		f := results.FrontTooth{Tooth: tooth, Meant: meant[tooth.Class()], Value: results.Number(math.NaN()), Raw: results.Number(math.NaN())}
		if c, ok := t.cells[results.By{Axis: a, Tooth: tooth, Course: results.Initial}]; ok {
			there++
			f.Few = c.Suppressed || !c.Estimate.OK() || c.Cases < t.s.MinCellCases
			if !f.Few {
				shown++
				f.Cases, f.Raw, f.Value = c.Cases, c.Estimate, c.Estimate
				if c.Pooled.OK() && c.Pooled != 0 {
					f.Value, pooled = c.Pooled, true
				}
				values[wording.Whole(f.Value)] = true
			}
		}
		f.Meant = f.Meant && (f.Few || f.Value.OK())
		arch.Teeth = append(arch.Teeth, f)
	}
	if 3*shown < there {
		return arch, t.byKind(&arch), false
	}
	for i := range arch.Teeth {
		arch.Teeth[i].Meant = arch.Teeth[i].Meant && !arch.Teeth[i].Few
	}
	if pooled && len(values) == 1 {
		for i := range arch.Teeth {
			arch.Teeth[i].Alike = !arch.Teeth[i].Few && arch.Teeth[i].Value.OK()
		}
		arch.Under += "; teeth alike"
	}
	return arch, shown > 0, pooled
}

// byKind gives every tooth the number of its kind in its arch; false where no kind
// has enough cases either.
func (t *teller) byKind(arch *results.FrontArch) (some bool) {
	for i := range arch.Teeth {
		f := &arch.Teeth[i]
		if !f.Few && !f.Value.OK() {
			continue // nothing was planned
		}
		meant := f.Meant
		*f = results.FrontTooth{Tooth: f.Tooth, Value: results.Number(math.NaN()), Raw: results.Number(math.NaN()), Few: true}
		c, ok := t.cells[results.By{Axis: arch.Axis, ToothClass: f.Tooth.Class(), Arch: f.Tooth.Arch(), Course: results.Initial}]
		if ok && !c.Suppressed && c.Estimate.OK() && c.Cases >= t.s.MinCellCases {
			f.Few, f.OfKind, f.Cases, f.Value, f.Meant, some = false, true, c.Cases, c.Estimate, meant, true
		}
	}
	arch.Under += "; by kind"
	return some
}

// directions is the forest of the twelve.
func (t *teller) directions() results.FrontFigure {
	var low, high *results.Cell
	for _, d := range casebook.Directions() {
		c, ok := t.cells[wholeDirection(d)]
		if !ok || c.Suppressed || !c.Low.OK() {
			continue
		}
		if low == nil || c.Estimate < low.Estimate {
			low = c
		}
		if high == nil || c.Estimate > high.Estimate {
			high = c
		}
	}
	f := results.FrontFigure{
		Title: "How much was achieved, by direction", Sub: "First set of aligners, all teeth; outside tolerance: ended more than " + t.tolerance() + " from a plan larger than that",
		Below: "Achieved: the sum achieved along the plan over the sum planned. Pictograms: mesial on the left, for torque and buccolingual shift the cheek on the left; rotation is seen from the biting surface with the cheek at the top.",
	}
	if low != nil && low != high {
		f.Title = fmt.Sprintf("From %s in %s to %s in %s", wording.Percent(low.Estimate), noun(low.By.Direction), wording.Percent(high.Estimate), noun(high.By.Direction))
	}
	return f
}

func (t *teller) tolerance() string {
	return fmt.Sprintf("%s\u00a0mm or %s°", trim(t.s.ToleranceMM), trim(t.s.ToleranceDeg))
}
