package story

import (
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// directionArch gives every tooth the number of its kind in the direction of one. Where
// the title names kinds, those that cannot be ranked have none; else every kind with
// enough cases to be shown has its own, as it stands.
func (t *teller) directionArch(kind *results.Cell) results.FrontArch {
	d := kind.By.Direction
	arch := results.FrontArch{Axis: d.Axis(), Direction: d, Name: t.rowName(d), First: true}
	if c, ok := t.cells[results.InFirstSets(d)]; ok && !c.Suppressed && c.Estimate.OK() {
		arch.Under = "all teeth " + wording.Percent(c.Estimate)
	}
	if t.namesKinds() && kind.By.ToothClass == casebook.NoClass {
		t.asOne(&arch, kind)
		return arch
	}
	for _, class := range casebook.ToothClasses() {
		by := results.InFirstSets(d)
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

const tooFewByKind = "; too few by kind"

// teethOfKinds gives every tooth of which something is planned what its kind has.
func (t *teller) teethOfKinds(arch *results.FrontArch, planned func(casebook.Tooth) bool) {
	arch.Teeth = nil
	for _, tooth := range casebook.AllTeeth() {
		f := results.FrontTooth{Tooth: tooth, Value: nan, Raw: nan}
		for _, k := range arch.Kinds {
			if k.Class == tooth.Class() && (k.Arch == casebook.NoArch || k.Arch == tooth.Arch()) && planned(tooth) {
				f.Few, f.OfKind, f.Cases, f.Value, f.Meant, f.Lower, f.Near = k.Few, !k.Few, k.Cases, k.Value, k.Meant, k.Lower, k.Near
				f.Thin = k.Thin()
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
