package between

import (
	"fmt"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// whyNotComparable says why a cell carries no verdict.
func whyNotComparable(p *rows.Set, same *compare.Contrast) string {
	need := p.Settings.MinBothCases
	switch same.Failed {
	case compare.DifferentPatients:
		return fmt.Sprintf("the styles were used in different patients: fewer than %d carry both for this movement and set", need)
	case compare.NoOverlap:
		return "in the patients who carry both the plans hardly overlap: " + same.Detail
	case compare.NotAdjusted:
		return "too few patients carry both to adjust for what the comparison rests on (" + same.Detail + ")"
	case compare.FewDF:
		return fmt.Sprintf("fewer than %d degrees of freedom: a few cases carry the comparison", compare.FewestDF)
	case compare.NoEarlierCourse:
		return "refinement movements without their own earlier course on record: a tooth is refined because it fell short"
	case compare.NothingLater:
		return "no such course has ended since the comparison was declared, in " + p.Settings.PrimaryDeclared.String() + ": what the records showed before cannot confirm what they suggested"
	case compare.NotALook:
		return "this audit is not one of the looks declared for the comparison: " + months(p.Settings.PrimaryLooks)
	}
	return "the difference cannot be estimated: " + same.Detail
}

func months[T fmt.Stringer](ms []T) string {
	var out []string
	for _, m := range ms {
		out = append(out, m.String())
	}
	return strings.Join(out, ", ")
}

// remedyOf says what would make a cell comparable.
func remedyOf(why compare.Reason) string {
	switch why {
	case compare.DifferentPatients:
		return "record the style of every tooth; where one patient carries both styles it becomes comparable"
	case compare.NoOverlap:
		return "compare plans of like size, or record more of them in both styles"
	case compare.NoEarlierCourse:
		return "record the first set of refined cases too"
	case compare.NothingLater:
		return "audit again when more courses have ended"
	case compare.NotALook:
		return "judge it at the next declared look"
	}
	return "record more cases with both styles"
}

// because says why the verdict is what it is.
func because(p *rows.Set, c *results.Comparison) string {
	s := &p.Settings
	switch r := compare.Reason(c.Reason); r {
	case compare.Holds:
		return fmt.Sprintf("Within %s with both styles the difference is beyond chance after correction, and every check that applies keeps it.", wording.Of(c.Both, "patient"))
	case compare.WithinChance:
		return fmt.Sprintf("Within %s with both styles the difference is within chance at the level of the verdict (%.3g).", wording.Of(c.Both, "patient"), float64(c.VerdictLevel))
	case compare.OnePatient:
		who := ""
		if k := failing(c); k != nil && k.Who != "" {
			who = " (" + k.Who + ")"
		}
		return "One patient decides: without that case" + who + " the interval reaches no difference."
	case compare.DoubtfulAmounts:
		return doubtful(c)
	case compare.OutlyingValues:
		return "Values far out decide: with expressions brought in to their 5th and 95th percentile the interval reaches no difference."
	case compare.ManyMissing:
		return fmt.Sprintf("More than %s %% of outcomes are missing in one of the styles.", wording.Fixed(results.Number(100*s.MaxMissing), 0))
	case compare.MissingOutcomes:
		return "Movements without an outcome decide: given no difference, they bring the interval to no difference."
	case compare.OneClinician:
		return "One clinician decides: without the cases of one the difference changes its sign, or is none."
	case compare.LeftUnadjusted:
		return "What there was no room to adjust for decides: with " + strings.Join(c.NotAdjusted, ", ") + " the interval reaches no difference."
	case compare.ClassesDiffer:
		return classesDiffer(c)
	}
	return c.Because
}

// classesDiffer says which class makes the difference, or that they are not alike.
func classesDiffer(c *results.Comparison) string {
	const apart = "so that one number for all teeth speaks for none; the classes are shown apart."
	if k := checkOf(c, compare.WithoutClass); k.Applies && !k.Holds {
		among, d := 100*float64(k.Estimate.Difference), 100*float64(c.Adjusted.Difference)
		return fmt.Sprintf("One tooth class makes the difference: with %s set apart it is %s among the other teeth, less than %g %% of %s, %s",
			k.Who, wording.InPoints(among), 100*compare.LeastAmongOthers, wording.InPoints(d), apart)
	}
	return fmt.Sprintf("Tooth classes differ (P %s, corrected), %s", wording.P(checkOf(c, compare.ClassesAlike).Estimate.PAdjusted), apart)
}

// doubtful says what amounts that cannot be right do to a difference.
func doubtful(c *results.Comparison) string {
	k := checkOf(c, compare.WithoutDoubted)
	who := ""
	if k.Who != "" {
		who = " (" + k.Who + ")"
	}
	d, low, high := 100*float64(k.Estimate.Difference), 100*float64(k.Estimate.Low), 100*float64(k.Estimate.High)
	return fmt.Sprintf("Amounts that cannot be right decide%s: without them the difference is %s (%s to %s). Look at the cells and correct them.",
		who, wording.InPoints(d), wording.Rounded(low), wording.Rounded(high))
}

// failing is the first deciding check that did not hold.
func failing(c *results.Comparison) *results.Check {
	for i := range c.Checks {
		if k := &c.Checks[i]; k.Decides && k.Applies && !k.Holds {
			return k
		}
	}
	return nil
}

// checkOf finds a check by its id; one that was not made is empty.
func checkOf(c *results.Comparison, id string) results.Check {
	for i := range c.Checks {
		if c.Checks[i].ID == id {
			return c.Checks[i]
		}
	}
	return results.Check{Estimate: measure.NoDifference()}
}
