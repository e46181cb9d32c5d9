package compare

import (
	"math"

	"shortfall/audit/stats/decide"
)

// Verdict on the treated choice seen against the reference.
type Verdict string

// The verdict words; no others are printed.
const (
	Higher             Verdict = "higher"
	Lower              Verdict = "lower"
	NotDistinguishable Verdict = "not distinguishable"
	NotComparable      Verdict = "not comparable"
)

// Candidate is what a verdict needs of one comparison.
type Candidate struct {
	Difference, P float64
	Failed        Reason  // why it cannot be judged; empty where it can
	Failing       Reason  // of the first deciding check that did not hold
	ClassP        float64 // of alike differences among tooth classes; NaN where not tested
	// Everything is P with everything on record, 1 where that has no answer; NaN where all
	// of it is adjusted for.
	Everything float64
	// WithoutDoubted is P without amounts that cannot be right, NaN where there are none;
	// HoldsWithout says that every check holds without them, where that can matter.
	WithoutDoubted float64
	HoldsWithout   bool
}

// Unchecked is the candidate before its checks, which can only take a verdict back.
func (c *Contrast) Unchecked() Candidate {
	return Candidate{Difference: c.Estimate.Value, P: c.Estimate.P, Failed: c.Failed, ClassP: math.NaN(), Everything: math.NaN(), WithoutDoubted: math.NaN()}
}

// Candidate of a contrast, with what its checks say of it. Where nobody printed them
// before, those behind one that fails are not made: they could change no verdict.
func (c *Contrast) Candidate() Candidate {
	out := c.Unchecked()
	if c.Failed != "" {
		return out
	}
	for i, check := range deciding {
		var x Check
		switch {
		case c.checks != nil:
			x = c.checks[i]
		case out.Failing != "" && !forTheFamily(check.id):
			continue
		default:
			x = check.make(c)
		}
		switch {
		case !x.Applies:
		case x.ID == ClassesAlike:
			out.ClassP = x.Estimate.P
		case x.ID == WithoutDoubted:
			out.WithoutDoubted = x.Estimate.P
		case x.ID == FullyAdjusted:
			if out.Everything = x.Estimate.P; !(x.Estimate.DF >= FewestDF) {
				out.Everything = 1
			}
		}
		if x.Applies && !x.Holds && out.Failing == "" {
			out.Failing = x.Decides
		}
	}
	if out.hidden(c.o.Alpha) {
		out.HoldsWithout = c.holdsWithoutDoubted()
	}
	return out
}

// hidden reports that amounts that cannot be right may be all that a verdict lacks: the
// difference is beyond chance with and without them, and a check fails, or that of the
// classes can.
func (c *Candidate) hidden(alpha float64) bool {
	fails := c.Failing != "" || c.ClassP < alpha
	return fails && c.Failing != DoubtfulAmounts && c.p() < alpha && c.WithoutDoubted < alpha
}

// forTheFamily lists the checks whose P values Judge corrects, which other comparisons of
// the family share.
func forTheFamily(check string) bool {
	return check == ClassesAlike || check == WithoutDoubted || check == FullyAdjusted
}

// holdsWithoutDoubted makes the other checks without the amounts that cannot be right: one
// of these can be what lets a single patient seem to decide.
func (c *Contrast) holdsWithoutDoubted() bool {
	defer c.d.Arena.Release(c.d.Arena.Mark())
	certain, err := New(c.d.undoubted(), c.o)
	if err != nil {
		return false
	}
	k := certain.Candidate()
	return k.Failed == "" && k.Failing == "" && !(k.ClassP < 1-c.o.Level)
}

// Answer is a verdict with what it rests on.
type Answer struct {
	Verdict   Verdict
	Reason    Reason
	PAdjusted float64 // over the family; NaN where not comparable
	// ClassP is that of the candidate, corrected over the family by Holm's method;
	// ClassesDiffer is said below alpha.
	ClassP float64
	// Level is that at which this comparison would have been called, the others
	// of its family standing as they are.
	Level float64
}

// Family is how the P values of comparisons asked together are corrected.
type Family int

// Confirmatory is Holm's family-wise correction; Exploratory the false discovery
// rate of Benjamini & Hochberg.
const (
	Confirmatory Family = iota
	Exploratory
)

// Judge gives the verdicts of one family at level alpha: higher or lower where
// the corrected P is below alpha and every check that applies holds. share is
// the part of alpha that the family has: 1, or what a declared comparison and
// the number of looks leave it.
func Judge(cs []Candidate, f Family, alpha, share float64) []Answer {
	ps := make([]float64, len(cs))
	for i, c := range cs {
		if ps[i] = c.p(); c.Failed != "" {
			ps[i] = math.NaN()
		}
	}
	adjusted, levels := decide.BenjaminiHochberg(ps), decide.BenjaminiHochbergLevels(ps, share*alpha)
	if f == Confirmatory {
		adjusted, levels = decide.Holm(ps), decide.HolmLevels(ps, share*alpha)
	}
	for i := range adjusted { // NaN stays
		adjusted[i] = min(1, adjusted[i]/share)
	}
	classes := make([]float64, len(cs))
	for i, c := range cs {
		if classes[i] = c.ClassP; c.Failed != "" {
			classes[i] = math.NaN()
		}
	}
	classes = decide.Holm(classes)
	out := make([]Answer, len(cs))
	for i, c := range cs {
		if c.Failing == "" && classes[i] < alpha {
			c.Failing = ClassesDiffer
		}
		out[i] = c.answer(adjusted[i], alpha, levels[i])
		out[i].ClassP = classes[i]
	}
	return out
}

// p is the larger P where there are two: a difference must be beyond chance in either
// model. The larger is below a level no more often than that of the model whose null
// holds, so the test keeps the level (intersection-union: Berger 1982, Technometrics
// 24:295-300).
func (c Candidate) p() float64 {
	if c.Everything > c.P {
		return c.Everything
	}
	return c.P
}

// answer reads one comparison. What is within chance, or fails a check, only because of
// amounts that cannot be right says so.
func (c Candidate) answer(adjusted, alpha, level float64) Answer {
	a := Answer{Verdict: NotDistinguishable, Reason: WithinChance, PAdjusted: adjusted, Level: level}
	switch {
	case c.Failed != "":
		a.Verdict, a.Reason, a.PAdjusted = NotComparable, c.Failed, math.NaN()
	case !(adjusted < alpha):
		switch {
		case c.P < level:
			a.Reason = LeftUnadjusted
		case c.WithoutDoubted < level:
			a.Reason = DoubtfulAmounts
		}
	case c.Failing != "":
		if a.Reason = c.Failing; c.HoldsWithout && c.WithoutDoubted < level {
			a.Reason = DoubtfulAmounts
		}
	case c.Difference > 0:
		a.Verdict, a.Reason = Higher, Holds
	default:
		a.Verdict, a.Reason = Lower, Holds
	}
	return a
}
