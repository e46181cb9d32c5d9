package switches

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// findings say whether changing the style after a shortfall went with a
// better next course than keeping it. Page one is for what was found; the
// section says what was not.
func findings(r *results.Results) []results.Finding {
	s := &r.Questions.Switches
	var clear []int // rows
	compared := 0
	for i := range s.Contrasts {
		c := &s.Contrasts[i]
		compared += measure.OneIf(c.Verdict != results.NotComparable)
		if c.Verdict.Clear() && !c.Suppressed {
			clear = append(clear, i)
		}
	}
	if len(clear) == 0 {
		return nil
	}
	at := slices.MinFunc(clear, func(a, b int) int { return cmp.Compare(s.Contrasts[a].Adjusted.P, s.Contrasts[b].Adjusted.P) })
	c := &s.Contrasts[at]
	d, low, high, word := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High), "more"
	if d < 0 {
		d, low, high, word = -d, -high, -low, "less"
	}
	return []results.Finding{{
		Kind: results.SwitchedStyle,
		Text: fmt.Sprintf("After a shortfall in %s, movements %s achieved %s %s at the next course than those that %s (%s %s to %s, adjusted; %d and %s); %d of %s were beyond chance.",
			c.By.Axis, c.Group.Name, wording.InPoints(d), word, c.Reference.Name, wording.CI(r.Provenance.Settings.Level), wording.Rounded(low), wording.Rounded(high), c.Group.Cases, wording.Of(c.Reference.Cases, "case"), len(clear), wording.Of(compared, "comparison")),
		Limits: "Movements that fell short do better next time whatever is done; so they are set against those that kept their style.",
		Action: "Is a change of attachment between courses worth its time here, or is something else holding these movements back?",
		Rests:  []results.Basis{{Table: "switches.contrasts", By: c.By, Row: at}},
	}}
}
