package expression

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

// findings names the two combinations of direction and tooth class, in
// initial courses, that expressed the least share of the plan among those
// whose mean shortfall is beyond the tolerance and that lie below the middle kind beyond
// chance: a low share of a small plan
// may not matter, a large shortfall may only mean a large plan.
func findings(r *results.Results) []results.Finding {
	var short, kinds []*results.Cell
	for i := range r.Expression {
		c := &r.Expression[i]
		b := c.By
		if c.Suppressed || !c.High.OK() || b.Course != results.Initial || b.Direction == casebook.NoDirection ||
			b.ToothClass == casebook.NoClass || b.Arch != casebook.NoArch || b.Style != casebook.NoStyle {
			continue
		}
		kinds = append(kinds, c)
		if c.High < 1 && float64(c.MeanShortfall) > r.Provenance.Settings.Tolerance(c.Unit) {
			short = append(short, c)
		}
	}
	if len(kinds) == 0 {
		return nil
	}
	middle := wording.Percent(results.Number(measure.Middle(kinds)))
	if len(short) == 0 {
		return []results.Finding{{
			Kind: results.FellShort,
			Text: fmt.Sprintf("In the first set of aligners no kind of movement with enough cases fell short by more than the tolerance on average; of a typical one of %d %s of the plan was achieved.",
				len(kinds), middle),
			Limits: "Single movements may still fall short, and small groups are not judged.",
			Action: "Which single movements ended outside the tolerance, and why?",
		}}
	}
	lower := measure.Lower(kinds, &r.Provenance.Settings)
	if short = slices.DeleteFunc(short, func(c *results.Cell) bool { return !lower(c) }); len(short) == 0 {
		return []results.Finding{alike(kinds, wording.NamesOf(r), middle)}
	}
	slices.SortStableFunc(short, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	short = short[:min(2, len(short))]
	var parts []string
	for k, c := range short {
		ci := ""
		if k == 0 {
			ci = wording.CI(r.Provenance.Settings.Level) + " "
		}
		parts = append(parts, fmt.Sprintf("%s of %ss (%s, %s%s to %s; %s short on average; %s)",
			wording.NamesOf(r).Movement(c.By), c.By.ToothClass, wording.Percent(c.Estimate), ci, wording.Whole(c.Low), wording.Whole(c.High), wording.Amount(c.MeanShortfall, c.Unit), wording.Of(c.Cases, "case")))
	}
	f := results.Finding{
		Kind:   results.FellShort,
		Text:   "In the first set of aligners least of the plan was achieved in " + strings.Join(parts, " and ") + "." + typical(len(kinds), middle),
		Limits: "It does not say why; the lowest of many are partly so by chance.",
		Action: "Would you plan, stage or support these differently, and with what target?",
	}
	for _, c := range short {
		f.Rests = append(f.Rests, results.Basis{Table: "expression", By: c.By})
		f.Warnings = append(f.Warnings, c.Warnings...)
	}
	return []results.Finding{f}
}

// alike is the finding where kinds fell short and none is lower than the middle one
// beyond chance.
func alike(kinds []*results.Cell, n wording.Names, middle string) results.Finding {
	f := results.Finding{
		Kind:   results.FellShort,
		Text:   fmt.Sprintf("In the first set of aligners no kind of movement fell short clearly more than others; of a typical one (%d have enough cases) %s of the plan was achieved.", len(kinds), middle),
		Limits: "Kinds with few cases may differ and not be told apart.",
		Action: "Would you plan for less, or accept the shortfall, whatever the tooth?",
	}
	if len(kinds) == 1 {
		b := kinds[0].By
		f.Text = fmt.Sprintf("One kind of movement has enough cases: in %s of %ss %s of the plan was achieved in the first set of aligners.", n.Direction(b.Direction), b.ToothClass, middle)
	}
	for _, c := range kinds {
		f.Rests = append(f.Rests, results.Basis{Table: "expression", By: c.By})
	}
	return f
}

// fewKinds is too few kinds of movement for one of them to be called typical.
const fewKinds = 5

// typical is how much was achieved of the middle one of several kinds of movement.
func typical(kinds int, middle string) string {
	if kinds < fewKinds {
		return ""
	}
	return fmt.Sprintf(" Of a typical kind of movement (%d have enough cases) %s was achieved.", kinds, middle)
}
