package story

import (
	"cmp"
	"fmt"
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
	return "none stands out, which takes a shortfall of more than " + t.tolerance() + " and more than chance"
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
		whole, ok := t.cells[results.InFirstSets(d)]
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
		if t.namesKinds() {
			out.Reach = "its CI reaches " + wording.Percent(t.worst[len(t.worst)-1].Estimate)
		}
		if t.besideNamed(first) {
			first[1].Note, _ = t.beside(first[1].Direction)
		}
		out.Axes = slices.Concat(first, out.Axes)
		out.Thin = t.thinTeeth(out.Axes)
		return out
	}
	if len(out.Axes) == 0 {
		return out
	}
	out.Title, out.Sub = t.shortTitle(), out.ByTooth.Sub
	t.markFirst(out.Axes)
	out.Thin = t.thinTeeth(out.Axes)
	return out
}

// thinTeeth says what hollow teeth are, where one is drawn.
func (t *teller) thinTeeth(axes []results.FrontArch) string {
	thin := func(a results.FrontArch) bool {
		return slices.ContainsFunc(a.Teeth, func(f results.FrontTooth) bool { return f.Thin })
	}
	if !slices.ContainsFunc(axes, thin) {
		return ""
	}
	return fmt.Sprintf("under %s", wording.Of(t.s.MinIntervalCases, "case"))
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
		if c, ok := t.cells[results.InFirstSets(d)]; ok && !c.Suppressed && c.Estimate.OK() && c.Cases >= t.s.MinCellCases {
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

// namesKinds is true where the title names a kind of tooth.
func (t *teller) namesKinds() bool {
	w := t.worst
	return len(w) > 0 && !t.allWhole(w)
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

// shortTitle states where plans fell short most: the headline where styles cannot
// be compared, the arches and the decisions all rest on worst.
func (t *teller) shortTitle() string {
	low := t.lowest()
	switch w := t.worst; {
	case len(w) > 0 && len(t.told()) > 0:
		return "Least of the plan achieved, and short by more than " + t.tolerance() + " on average: " + joined(t.kindsOf(w))
	case len(w) > 0:
		return "Least of the plan achieved in " + joined(t.kindsOf(w))
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

// ends are the whole directions of which least and most was achieved, nil where none has an
// interval; some have too few cases for one, and may lie outside.
func (t *teller) ends() (low, high *results.Cell, some bool) {
	var whole []*results.Cell
	for _, d := range casebook.Directions() {
		if c, ok := t.cells[results.InFirstSets(d)]; ok {
			whole = append(whole, c)
			some = some || !c.Suppressed && c.Estimate.OK() && !c.Low.OK()
		}
	}
	low, high = measure.Ends(whole)
	return low, high, some
}

// directions is the forest of the twelve.
func (t *teller) directions() results.FrontFigure {
	low, high, some := t.ends()
	f := results.FrontFigure{
		Title: "How much was achieved, by direction", Sub: "First set, all teeth, with or without attachments; outside tolerance: more than " + t.tolerance() + " off a larger plan",
		Below: "Achieved: sum achieved along the plan over sum planned" + t.besideStyles() + ". Pictograms: mesial on the left, neighbours pale; torque and buccolingual shift: cheek left, pale; rotation: from the biting surface, cheek at the top.",
	}
	if low != nil && wording.Percent(low.Estimate) != wording.Percent(high.Estimate) {
		f.Title = fmt.Sprintf("From %s in %s to %s in %s", wording.Percent(low.Estimate), t.noun(low.By.Direction), wording.Percent(high.Estimate), t.noun(high.By.Direction))
		if some {
			f.Title += fmt.Sprintf(", where %d or more cases are measured", t.s.MinIntervalCases)
		}
	}
	return f
}

// besideStyles says why a mean of all teeth need not lie between those of the two styles.
func (t *teller) besideStyles() string {
	if len(t.told()) == 0 {
		return ""
	}
	return ", which may lie outside both styles"
}

func (t *teller) tolerance() string {
	return fmt.Sprintf("%s\u00a0mm or %s°", wording.Setting(t.s.ToleranceMM), wording.Setting(t.s.ToleranceDeg))
}
