package story

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/measure"
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

// worstKinds are the kinds of movement that fell short most, beyond the tolerance on
// average and beyond chance more than the others: at most two.
func (t *teller) worstKinds() []*results.Cell {
	lower := measure.Lower(t.kinds, &t.s)
	out := slices.DeleteFunc(slices.Clone(t.kinds), func(c *results.Cell) bool { return !t.short(c) || !lower(c) })
	n := min(2, len(out))
	for n > 0 && n < len(out) && t.asLow(out[n], out[n-1]) && slices.ContainsFunc(out[:n], func(c *results.Cell) bool { return c.By.Direction == out[n].By.Direction }) {
		n++ // it is drawn beside them, with the same number
	}
	return out[:n]
}

// asLow is true of what is printed as no more than another.
func (t *teller) asLow(c, than *results.Cell) bool {
	return wording.Whole(c.Estimate) == wording.Whole(than.Estimate) || c.Estimate < than.Estimate
}

// short is true of a kind that fell short beyond the tolerance on average.
func (t *teller) short(c *results.Cell) bool {
	return c.High < 1 && float64(c.MeanShortfall) > t.s.Tolerance(c.Unit)
}

// alike says that kinds fell short and none of them stands out; it is empty where none
// fell short.
func (t *teller) alike() string {
	kinds := t.kinds
	if !slices.ContainsFunc(kinds, t.short) {
		return ""
	}
	if len(kinds) == 1 {
		return fmt.Sprintf("%s of the plan was achieved in %s", wording.Percent(kinds[0].Estimate), joined(t.kindsOf(kinds)))
	}
	return "No kind of movement fell short clearly more than others"
}

// ofKinds says how much was achieved of the kinds of movement that can be ranked.
func (t *teller) ofKinds() string {
	if len(t.kinds) == 1 {
		return fmt.Sprintf("It is the one kind of movement with %d or more cases.", t.s.MinIntervalCases)
	}
	return fmt.Sprintf("Of the kinds with %d or more cases, %s\u00a0%% of the plan was achieved; %s.", t.s.MinIntervalCases, spanOf(estimates(t.kinds)), t.noneLower())
}

// noneLower is the rule by which no kind is named.
func (t *teller) noneLower() string {
	return "none that fell short by more than " + t.tolerance() + " is lower than a typical kind by more than chance"
}

func estimates(cells []*results.Cell) (out []float64) {
	for _, c := range cells {
		out = append(out, float64(c.Estimate))
	}
	return out
}

// rankedKinds are the kinds of movement with an interval, the least achieved first: a
// direction by class of tooth, or over all teeth where most of its movements are of
// classes with too few cases. What is left out could be lower than what is named.
func (t *teller) rankedKinds() (out []*results.Cell) {
	for _, d := range casebook.Directions() {
		whole, ok := t.cells[wholeDirection(d)]
		if !ok {
			continue
		}
		var classes []*results.Cell
		movements := 0
		for _, class := range casebook.ToothClasses() {
			by := whole.By
			by.ToothClass = class
			if c, ok := t.cells[by]; ok && !c.Suppressed && c.High.OK() {
				classes = append(classes, c)
				movements += c.Movements
			}
		}
		switch {
		case 2*movements >= whole.Movements && len(classes) > 0:
			out = append(out, classes...)
		case !whole.Suppressed && whole.High.OK():
			out = append(out, whole)
		}
	}
	slices.SortStableFunc(out, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	return out
}

func classes(c casebook.ToothClass) string { return wording.Teeth(c) }

// arches are those of page one, by direction and kind of tooth, as the title names
// them; then the axes with at least one tooth to show.
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
	if len(out.Axes) > 0 {
		out.ByTooth = results.FrontFigure{Title: t.byToothTitle(), Sub: archesSub(kinds, len(out.Axes))}
	}
	if steadied {
		out.ByTooth.Below = "Numbers of single teeth are drawn towards that of all teeth, the more the fewer their cases."
	}
	if kinds > 0 {
		out.ByTooth.Below = strings.TrimSpace(out.ByTooth.Below + " Joined teeth share one number, that of their kind in one jaw: most single teeth have too few cases.")
	}
	if first, drawn := t.firstArches(); len(first) > 0 {
		out.Title, out.Sub = t.archesTitle(drawn), t.firstSub(first)
		out.Axes = slices.Concat(first, out.Axes)
		return out
	}
	if len(out.Axes) == 0 {
		return out
	}
	out.Title, out.Sub = t.shortTitle(), out.ByTooth.Sub
	t.markFirst(out.Axes)
	return out
}

// onPageOne is how many arches page one has room for.
const onPageOne = 2

// firstArches are the directions that the title names, then those with the kind of
// tooth of which least was achieved. What is drawn is what the title ranks: kinds of
// tooth with an interval.
func (t *teller) firstArches() (out []results.FrontArch, drawn []*results.Cell) {
	for _, c := range t.firstKinds() {
		arch := t.directionArch(c)
		if len(out) < onPageOne && slices.ContainsFunc(arch.Teeth, func(f results.FrontTooth) bool { return f.Value.OK() }) {
			out, drawn = append(out, arch), append(drawn, c)
		}
	}
	return out, drawn
}

// leastOf are the whole directions with enough cases to be shown, the least achieved
// first, as they stand in the figure above.
func (t *teller) leastOf() (out []*results.Cell) {
	for _, d := range casebook.Directions() {
		if c, ok := t.cells[wholeDirection(d)]; ok && !c.Suppressed && c.Estimate.OK() && c.Cases >= t.s.MinCellCases {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	return out
}

// firstKinds are the kinds of movement for whose directions page one has an arch: those
// that the title names, then the directions of which least was achieved over all teeth,
// each by the lowest of its kinds of tooth that can be ranked.
func (t *teller) firstKinds() (out []*results.Cell) {
	rest := t.leastOf()
	for i, whole := range rest {
		for _, k := range t.kinds {
			if t.namesKinds() && rest[i] == whole && k.By.Direction == whole.By.Direction {
				rest[i] = k
			}
		}
	}
	for _, c := range slices.Concat(t.worst, rest) {
		drawn := slices.ContainsFunc(out, func(x *results.Cell) bool { return x.By.Direction == c.By.Direction })
		if len(out) < onPageOne && !drawn {
			out = append(out, c)
		}
	}
	return out
}

// directionArch gives every tooth the number of its kind in the direction of one. Where
// the title names kinds, those that cannot be ranked have none; else every kind with
// enough cases to be shown has its own, as it stands.
func (t *teller) directionArch(kind *results.Cell) results.FrontArch {
	d := kind.By.Direction
	arch := results.FrontArch{Axis: d.Axis(), Direction: d, Name: t.rowName(d), First: true}
	if c, ok := t.cells[wholeDirection(d)]; ok && !c.Suppressed && c.Estimate.OK() {
		arch.Under = "all teeth " + wording.Percent(c.Estimate)
	}
	if t.namesKinds() && kind.By.ToothClass == casebook.NoClass {
		t.asOne(&arch, kind)
		return arch
	}
	for _, class := range casebook.ToothClasses() {
		by := wholeDirection(d)
		by.ToothClass = class
		if c, ok := t.cells[by]; ok {
			arch.Kinds = append(arch.Kinds, t.kindOf(c, t.namesKinds()))
		}
	}
	t.teethOfKinds(&arch, func(tooth casebook.Tooth) bool { return t.plannedAt(d, tooth) })
	return arch
}

// kindOf is one kind of tooth as it is drawn.
func (t *teller) kindOf(c *results.Cell, ranked bool) results.FrontKind {
	k := results.FrontKind{Class: c.By.ToothClass, Arch: c.By.Arch, Value: nan, Low: nan, High: nan, Short: nan}
	k.Ranked = !c.Suppressed && c.High.OK()
	shown := k.Ranked || !ranked && !c.Suppressed && c.Estimate.OK() && c.Cases >= t.s.MinCellCases
	if !shown {
		k.Few, k.Ranked = true, false
		return k
	}
	k.Value, k.Cases = c.Estimate, c.Cases
	if k.Ranked {
		k.Low, k.High = c.Low, c.High
	}
	if w := t.worst; ranked {
		k.Short = c.MeanShortfall
		k.Meant = slices.Contains(w, c)
		k.Lower = !k.Meant && t.asLow(c, w[len(w)-1])
		k.Near = !k.Meant && !k.Lower && (c.Low <= w[len(w)-1].Estimate || wording.Whole(c.Low) == wording.Whole(w[len(w)-1].Estimate)) // as printed
	}
	return k
}

// namesKinds is true where the title names a kind of tooth.
func (t *teller) namesKinds() bool {
	w := t.worst
	return len(w) > 0 && !t.allWhole(w)
}

// asOne gives all teeth of a direction that is ranked as a whole its number, once.
func (t *teller) asOne(arch *results.FrontArch, whole *results.Cell) {
	meant := slices.Contains(t.worst, whole)
	arch.Under += tooFewByKind
	for _, tooth := range casebook.AllTeeth() {
		f := results.FrontTooth{Tooth: tooth, Value: nan, Raw: nan}
		if t.plannedAt(arch.Direction, tooth) {
			f.OfKind, f.Alike, f.Cases, f.Value, f.Meant = true, true, whole.Cases, whole.Estimate, meant
		}
		arch.Teeth = append(arch.Teeth, f)
	}
}

// teethOfKinds gives every tooth of which something is planned what its kind has.
func (t *teller) teethOfKinds(arch *results.FrontArch, planned func(casebook.Tooth) bool) {
	arch.Teeth = nil
	for _, tooth := range casebook.AllTeeth() {
		f := results.FrontTooth{Tooth: tooth, Value: nan, Raw: nan}
		for _, k := range arch.Kinds {
			if k.Class == tooth.Class() && (k.Arch == casebook.NoArch || k.Arch == tooth.Arch()) && planned(tooth) {
				f.Few, f.OfKind, f.Cases, f.Value, f.Meant, f.Lower, f.Near = k.Few, !k.Few, k.Cases, k.Value, k.Meant, k.Lower, k.Near
			}
		}
		arch.Teeth = append(arch.Teeth, f)
	}
}

// plannedAt reports whether anything is on record of a tooth in one direction.
func (t *teller) plannedAt(d casebook.Direction, tooth casebook.Tooth) bool {
	_, ok := t.cells[results.By{Axis: d.Axis(), Direction: d, Tooth: tooth, Course: results.Initial}]
	return ok
}

// archesTitle is that of page one. The headline says where plans fell short most
// where the styles cannot be compared: then it is not said again.
func (t *teller) archesTitle(drawn []*results.Cell) string {
	w := t.worst
	switch {
	case len(t.told()) > 0:
		return t.shortTitle()
	case len(w) == 0 && len(t.kinds) > 1 && t.alike() != "":
		return "In the mouth: " + joined(t.kindsOf(drawn)) + ", the lowest though not clearly so"
	case len(w) == 0:
		return t.shortTitle()
	case t.allWhole(w):
		return "In the mouth: " + joined(t.kindsOf(w)) + ", by kind of tooth"
	}
	return "In the mouth: " + joined(t.kindsOf(w)) + " beside other teeth"
}

// allWhole is true where no class of tooth has enough cases.
func (t *teller) allWhole(kinds []*results.Cell) bool {
	return !slices.ContainsFunc(kinds, func(c *results.Cell) bool { return c.By.ToothClass != casebook.NoClass })
}

// firstSub says what a number and a shade of the arches of page one are.
func (t *teller) firstSub(first []results.FrontArch) string {
	if !t.namesKinds() {
		return "Achieved, % of planned, first set; joined: one value per kind, both jaws; differences may be chance"
	}
	sub := "First set, one value per kind of tooth: achieved, % of planned (" + t.ci() + "), and short on average"
	if why := t.notNamed(first); why != "" {
		return sub + "; dashed: as low, but " + why
	}
	if len(first) == onPageOne && meant(first[0]) && !meant(first[1]) {
		return sub + "; " + first[1].Name + ": " + t.beside(first[1].Direction)
	}
	return sub
}

// beside says of a direction that is drawn and not named what it is.
func (t *teller) beside(d casebook.Direction) string {
	whole := t.cells[wholeDirection(d)]
	if named := t.cells[wholeDirection(t.worst[0].By.Direction)]; named == nil || whole.Estimate > named.Estimate {
		return "the next lowest over all teeth"
	}
	if float64(whole.MeanShortfall) <= t.s.Tolerance(whole.Unit) {
		return "as low over all teeth, short by less than the tolerance"
	}
	return "as low over all teeth, no kind clearly so"
}

// meant reports an arch with a tooth that the title names.
func meant(x results.FrontArch) bool {
	return slices.ContainsFunc(x.Teeth, func(f results.FrontTooth) bool { return f.Meant })
}

// notNamed says why kinds of tooth that are drawn have no more than one that is named,
// and are not named.
func (t *teller) notNamed(first []results.FrontArch) string {
	var why []string
	for i := range first {
		for _, k := range first[i].Kinds {
			if !k.Lower {
				continue
			}
			reason := "short by less than the tolerance"
			if c := t.cells[first[i].OfKind(&k)]; float64(c.MeanShortfall) > t.s.Tolerance(c.Unit) {
				reason = "too few cases to be sure"
			}
			if !slices.Contains(why, reason) {
				why = append(why, reason)
			}
		}
	}
	return strings.Join(why, ", or ")
}

const tooFewByKind = "; too few by kind"

// byToothTitle says how far the teeth are apart where each has its own number.
func (t *teller) byToothTitle() string {
	low := t.lowest()
	if len(low) < 2 {
		return "How much was achieved, tooth by tooth"
	}
	return fmt.Sprintf("Tooth by tooth: %s of the plan in %s, %s in %s", wording.Percent(low[0].Estimate), axisNoun(low[0].By.Axis),
		wording.Percent(low[len(low)-1].Estimate), axisNoun(low[len(low)-1].By.Axis))
}

// markFirst marks the axes of page one where no kind of tooth has enough cases: those
// with the least achieved.
func (t *teller) markFirst(axes []results.FrontArch) {
	left := onPageOne
	for _, c := range t.lowest() {
		for i := range axes {
			if left > 0 && axes[i].Axis == c.By.Axis {
				axes[i].First = true
				left--
			}
		}
	}
}

// archesSub says what a number in a tooth is.
func archesSub(kinds, axes int) string {
	switch {
	case kinds == axes:
		return "Achieved, % of planned, first set: one value per kind of tooth and jaw; both directions"
	case kinds > 0:
		return "Achieved, % of planned, first set; joined teeth: one value per kind and jaw; both directions"
	}
	return "Achieved, % of planned, first set of aligners, both directions together"
}

// shortTitle states where plans fell short most: the headline where styles cannot
// be compared, the arches and the decisions all rest on worst.
func (t *teller) shortTitle() string {
	low := t.lowest()
	switch w := t.worst; {
	case len(w) > 0 && len(t.told()) > 0:
		return "Least of the plan achieved, and short by more than " + t.tolerance() + " on average: " + joined(t.kindsOf(w))
	case len(w) > 0:
		return "Plans fell short most in " + joined(t.kindsOf(w))
	case t.alike() != "":
		return t.alike()
	case len(t.kinds) > 0:
		return "No kind of movement with enough cases fell short beyond tolerance"
	case len(low) > 0:
		return "Least was achieved in " + axisNoun(low[0].By.Axis) + ", " + wording.Percent(low[0].Estimate) + " of the plan"
	}
	return "Too few cases to say where plans fell short most"
}

// kindsOf words cells as "intrusion of molars"; one direction is named once, and both
// directions of one axis and class are the axis.
func (t *teller) kindsOf(cells []*results.Cell) (out []string) {
	first := map[casebook.Direction]int{}
	for i, c := range cells {
		if _, ok := first[c.By.Direction]; !ok {
			first[c.By.Direction] = i
		}
	}
	cells = slices.Clone(cells)
	slices.SortStableFunc(cells, func(a, b *results.Cell) int { return cmp.Compare(first[a.By.Direction], first[b.By.Direction]) })
	for i, c := range cells {
		name := t.noun(c.By.Direction)
		if c.By.ToothClass == casebook.NoClass {
			out = append(out, name)
			continue
		}
		if i > 0 && cells[i-1].By.ToothClass != casebook.NoClass {
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
	low, high := math.Inf(1), math.Inf(-1)
	shown, there := 0, 0
	for _, tooth := range casebook.AllTeeth() {
		f := results.FrontTooth{Tooth: tooth, Value: results.Number(math.NaN()), Raw: results.Number(math.NaN())}
		if c, ok := t.cells[results.By{Axis: a, Tooth: tooth, Course: results.Initial}]; ok {
			there++
			f.Few = c.Suppressed || !c.Estimate.OK() || c.Cases < t.s.MinCellCases
			if !f.Few {
				shown++
				f.Cases, f.Raw, f.Value = c.Cases, c.Estimate, c.Estimate
				if c.Pooled.OK() && c.Pooled != 0 {
					f.Value, pooled = c.Pooled, true
				}
				low, high = min(low, float64(f.Value)), max(high, float64(f.Value))
			}
		}
		arch.Teeth = append(arch.Teeth, f)
	}
	if 3*shown < there {
		return arch, t.byKind(&arch), false
	}
	if all, ok := t.cells[results.By{Axis: a, Course: results.Initial}]; ok && pooled && high-low < alikeWithin {
		for i := range arch.Teeth {
			if f := &arch.Teeth[i]; !f.Few && f.Value.OK() {
				f.Alike, f.Value = true, all.Estimate
			}
		}
		arch.Under += "; teeth alike"
	}
	return arch, shown > 0, pooled
}

// alikeWithin is the spread below which teeth, drawn towards their mean, do not differ: one
// number says it, and twenty-eight would be read as so many findings.
const alikeWithin = 0.025

// byKind gives every tooth the number of its kind in its arch; false where no kind
// has enough cases either.
func (t *teller) byKind(arch *results.FrontArch) (some bool) {
	there := map[casebook.Tooth]bool{}
	for _, f := range arch.Teeth {
		there[f.Tooth] = f.Few || f.Value.OK()
	}
	for _, jaw := range casebook.Arches() {
		for _, class := range casebook.ToothClasses() {
			if c, ok := t.cells[results.By{Axis: arch.Axis, ToothClass: class, Arch: jaw, Course: results.Initial}]; ok {
				k := t.kindOf(c, false)
				some = some || !k.Few
				arch.Kinds = append(arch.Kinds, k)
			}
		}
	}
	t.teethOfKinds(arch, func(tooth casebook.Tooth) bool { return there[tooth] })
	return some
}

// directions is the forest of the twelve.
func (t *teller) directions() results.FrontFigure {
	var low, high *results.Cell
	some := false // have too few cases for an interval, and may lie outside the span
	for _, d := range casebook.Directions() {
		c, ok := t.cells[wholeDirection(d)]
		if !ok || c.Suppressed || !c.Low.OK() {
			some = some || ok && !c.Suppressed && c.Estimate.OK()
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
		Below: "Achieved: the sum achieved along the plan over the sum planned. Pictograms: mesial on the left, the neighbours pale; for torque and buccolingual shift the cheek on the left, pale; rotation is seen from the biting surface with the cheek at the top.",
	}
	if low != nil && low != high {
		f.Title = fmt.Sprintf("From %s in %s to %s in %s", wording.Percent(low.Estimate), t.noun(low.By.Direction), wording.Percent(high.Estimate), t.noun(high.By.Direction))
		if some {
			f.Title += fmt.Sprintf(", where %d or more cases are measured", t.s.MinIntervalCases)
		}
	}
	return f
}

func (t *teller) tolerance() string {
	return fmt.Sprintf("%s\u00a0mm or %s°", wording.Setting(t.s.ToleranceMM), wording.Setting(t.s.ToleranceDeg))
}
