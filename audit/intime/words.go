package intime

import (
	"fmt"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// Limits of every such comparison.
const Limits = "Two stretches of time differ by chance, case mix and recording too: a difference is not an effect of what was done."

// Say writes the sentences, with the names of cells as records give them: what changed beyond chance, or that nothing did and how much
// was compared; then the cohorts.
func Say(t *results.InTime, s *results.Settings, n wording.Names) { say(t, s, n, false) }

// say writes them; where something was taken out, nothing on record is not said.
func say(t *results.InTime, s *results.Settings, n wording.Names, withheld bool) {
	t.Sentences = nil
	if t.Now.Movements == 0 && t.Now.Cases == 0 && !withheld {
		t.Sentences = append(t.Sentences, "No course with a measured outcome ended in "+t.Now.Name+", so there is nothing to set against what was before.")
	}
	t.Sentences = append(t.Sentences, achievedSentences(t, s)...)
	told, changed := 0, 0
	for i := range t.Cells {
		c := &t.Cells[i]
		if c.Low.OK() {
			told++
		}
		if c.Changed {
			changed++
			t.Sentences = append(t.Sentences, cellSentence(c, t.Now.Name, s, n))
		}
	}
	switch {
	case told == 0 && t.Now.Movements > 0:
		t.Sentences = append(t.Sentences, fmt.Sprintf("No kind of movement has %d cases both in %s and before, so whether more or less was achieved cannot be told.", s.MinIntervalCases, t.Now.Name))
	case changed == 0 && told == 1:
		t.Sentences = append(t.Sentences, "How much was achieved did not change by more than chance allows in the one kind of movement that can be compared.")
	case changed == 0 && told > 1:
		t.Sentences = append(t.Sentences, fmt.Sprintf("How much was achieved did not change by more than chance allows in any of %d kinds of movement that can be compared.", told))
	}
	if r := t.Refined; r != nil {
		r.Sentence = cohortSentence(r, s)
		t.Sentences = append(t.Sentences, r.Sentence)
	}
}

// achievedSentences set what was achieved in all side by side, a sentence a unit.
func achievedSentences(t *results.InTime, s *results.Settings) (out []string) {
	say := func(a *results.UnitAchieved) string {
		size := wording.Of(a.Movements, "movement") + " in " + wording.Of(a.Cases, "case")
		if !a.Spread.Low.OK() {
			return wording.Percent(a.Spread.Value) + " (" + size + ")"
		}
		return fmt.Sprintf("%s (%s %s; %s)", wording.Percent(a.Spread.Value), wording.CI(s.Level), wording.Limits(a.Spread.Low, a.Spread.High), size)
	}
	for i := range t.Now.Achieved {
		now := &t.Now.Achieved[i]
		before := "nothing"
		for j := range t.Before.Achieved {
			if b := &t.Before.Achieved[j]; b.Unit == now.Unit {
				before = say(b)
			}
		}
		out = append(out, fmt.Sprintf("Of all planned %s in first sets %s was achieved in %s, %s before; not adjusted for what was planned.", unitWord(now.Unit), say(now), t.Now.Name, before))
	}
	return out
}

// unitWord is a unit as a sentence names it.
func unitWord(u casebook.Unit) string {
	if u == casebook.Millimetre {
		return "millimetres"
	}
	return "degrees"
}

func cellSentence(c *results.CellChange, now string, s *results.Settings, n wording.Names) string {
	d, low, high, word := 100*float64(c.Change), 100*float64(c.Low), 100*float64(c.High), "more"
	if d < 0 {
		d, low, high, word = -d, -high, -low, "less"
	}
	adjusted := ""
	if len(c.Adjusters) > 0 {
		adjusted = ", adjusted"
	}
	return fmt.Sprintf("%s: %s of the plan in %s, %s before: %s %s%s (%s %s to %s; %d v %s).", wording.Capital(n.Cell(c.By)),
		wording.Percent(c.After), now, wording.Percent(c.Before), wording.InPoints(d), word, adjusted,
		wording.CI(s.Level), wording.Rounded(low), wording.Rounded(high), c.CasesAfter, wording.Of(c.CasesBefore, "case"))
}

func cohortSentence(r *results.CohortChange, s *results.Settings) string {
	reached := fmt.Sprintf("%s after their start", wording.Of(r.Months, "month"))
	switch {
	case r.Now.Cases == 0:
		return fmt.Sprintf("No case that reached %s in %s was followed for so long, so a change of refinements cannot be told.", reached, r.Now.Name)
	case r.Before.Cases == 0:
		return fmt.Sprintf("Of %s that reached %s in %s, %s were refined by then; none reached it before.", wording.Of(r.Now.Cases, "case"), reached, r.Now.Name, wording.Percent(r.Share.After))
	}
	out := fmt.Sprintf("Of %s that reached %s in %s, %s were refined by then; of %s before, %s", wording.Of(r.Now.Cases, "case"), reached, r.Now.Name,
		wording.Percent(r.Share.After), wording.Of(r.Before.Cases, "case"), wording.Percent(r.Share.Before))
	if !r.Share.Low.OK() {
		return out + fmt.Sprintf(": fewer than %d cases on one side, so a change cannot be told.", s.MinIntervalCases)
	}
	verdict := "no change beyond chance"
	if r.Share.Changed {
		verdict = "a change beyond chance"
	}
	return out + fmt.Sprintf(": %s (difference %s points, %s %s to %s).", verdict, wording.SignedDecimal(100*float64(r.Share.Change), 0),
		wording.CI(s.Level), wording.SignedDecimal(100*float64(r.Share.Low), 0), wording.SignedDecimal(100*float64(r.Share.High), 0))
}

// Withhold takes out what rests on few cases of either part, for results that leave the
// practice. A cell that goes takes both of its parts with it, so that the whole of the
// expression tables less one part gives no other; cohorts go where the cases refined or
// the others are few in either.
func Withhold(t *results.InTime, s *results.Settings, n wording.Names) {
	least := s.MinCellCases
	t.Now.Achieved, t.Before.Achieved = nil, nil // the whole less what is shown would tell what is not
	var kept []results.CellChange
	for _, c := range t.Cells {
		if min(c.CasesBefore, c.CasesAfter) >= least {
			kept = append(kept, c)
		}
	}
	hidden := len(kept) < len(t.Cells)
	t.Cells = kept
	if r := t.Refined; r != nil {
		n := func(share results.Number, cases int) int { return int(float64(share)*float64(cases) + 0.5) }
		if disclose.SmallNumbers(s).ThinShare(n(r.Share.Before, r.Before.Cases), r.Before.Cases) || disclose.SmallNumbers(s).ThinShare(n(r.Share.After, r.Now.Cases), r.Now.Cases) {
			t.Refined, hidden = nil, true
		} else {
			r.OpenCases = 0
		}
	}
	for _, part := range []*results.Stretch{&t.Before, &t.Now} {
		if part.Cases < least {
			part.Cases, part.Movements = 0, 0
			t.Cells, hidden = nil, true
		}
	}
	if t.SharedCases < least || t.Now.Cases-t.SharedCases < least || t.Before.Cases-t.SharedCases < least {
		t.SharedCases = 0
	}
	if hidden {
		t.Warnings = append(t.Warnings, disclose.TooFewShown(s))
	}
	say(t, s, n, true)
}

// Denominator says what is set against what.
func Denominator(t *results.InTime) string {
	part := func(s *results.Stretch) string {
		out := fmt.Sprintf("%s in %s", wording.Of(s.Movements, "movement"), wording.Of(s.Cases, "case"))
		if s.From != 0 {
			out += fmt.Sprintf(" of courses that ended %v to %v", s.From, s.To)
		}
		return out
	}
	out := part(&t.Now) + ", against " + part(&t.Before)
	if t.SharedCases > 0 {
		out += "; " + wording.Of(t.SharedCases, "case") + " in both"
	}
	return out
}
