package comparison

import (
	"fmt"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{
			ID: "equivalence", Term: "equivalence (F5)", Formula: fmt.Sprintf("two one-sided t tests that the adjusted style difference lies within %g points either way, each at %g, not corrected for the number of comparisons; said in words for a declared primary comparison only, since not distinguishable is not the same as equal", s.EquivalencePoints, s.Alpha),
			Source: "Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680; the margin is a convention of this audit",
		},
		{
			ID: "difference-unadjusted", Term: "style difference, unadjusted", Formula: "expression with clinician-designed minus expression with software-suggested attachments, in points of the plan: the difference of the two ratios of sums", Source: "",
		},
		{
			ID: "difference-adjusted", Term: "style difference, same patients", Formula: "coefficient of style in a linear model of achieved / planned weighted by planned amount, case (and course) absorbed, so that only patients with both styles count; adjusted for the planned amount, its square and what else varies within a patient, as named beside it; CR2 variance by case, Satterthwaite degrees of freedom",
			Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683",
		},
		{
			ID: "difference-between", Term: "style difference, between patients", Formula: "the same coefficient without absorbing the case, adjusted for the planned amount and the recorded covariates named beside it: an association between patients that decides nothing",
			Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683",
		},
		{ID: "check", Term: "checks of a verdict", Formula: fmt.Sprintf("higher or lower only where the difference keeps its sign and an uncorrected interval without zero without the most influential patient, with outcomes winsorised at the 5th and 95th percentile, with missing outcomes given no difference, its sign without any one clinician, and the interval once more with every recorded covariate where some found no room (one column for every two movements beyond the first of their patient), P being the larger of both; where at most %s %% of outcomes are missing in either style and tooth classes that ten patients with both styles have under either do not differ (approximate Hotelling test, P corrected by Holm's method over the comparisons of the family), and where, with any one tooth class given a difference of its own, at least %g %% of the difference is left among the other teeth. Best and worst case and the tipping point are printed and decide nothing", wording.Fixed(results.Number(100*s.MaxMissing), 0), 100*compare.LeastAmongOthers), Source: "convention of this audit"},
		{ID: "adjusted-mean", Term: "adjusted mean expression", Formula: "mean of the patients with both styles, and half the difference within them either way", Source: "convention of this audit"},
		{ID: "amounts-compared", Term: "amounts planned and achieved, same patients", Formula: "means of one movement by style, every movement counting alike: that of the patients with both styles, and half the difference within them either way, adjusted as the style difference is but for the size of plan; amounts that cannot be right left out", Source: "convention of this audit"},
		{ID: "p-adjusted", Term: "P adjusted", Formula: multiplicityText(s), Source: multiplicitySource(s)},
		{
			ID: "verdict", Term: "verdict", Formula: fmt.Sprintf("clinician-designed seen against software-suggested in the same patients: higher or lower where P adjusted is below the level of its family (%g, half of it where a primary comparison is declared) and every deciding check holds; not comparable where fewer than %d cases carry both styles, where the planned amounts hardly overlap there, where there is no room for the planned amount, or where the model rests on fewer than %d degrees of freedom; otherwise not distinguishable",
				s.Alpha, s.MinBothCases, compare.FewestDF), Source: "Tipton 2015, Psychol Methods 20:375-393 (degrees of freedom)",
		},
		{ID: "overlap", Term: "overlap", Formula: "the smaller of the two arms' shares of movements inside the range of planned amounts that both have in common (middle 95 % of each), in the patients with both styles; at least 50 % is enough", Source: "convention of this audit"},
		{ID: "detectable-difference", Term: "detectable difference", Formula: "(t at 1 - level / 2 + t at 80 %) x standard error, level that of the verdict: what this comparison could have seen four times in five, before the checks", Source: "Bloom 1995, Eval Rev 19:547-556"},
		{ID: "more-cases", Term: "more cases", Formula: fmt.Sprintf("cases with both styles to add for %g points to become detectable, the error falling with the square root of the cases; it does not look at the difference that was seen", s.Worth()), Source: "arithmetic on the detectable difference"},
		{ID: "power", Term: "power", Formula: fmt.Sprintf("chance that a difference of %g points, named beforehand, would have been called at the level of the verdict, before its checks, with the standard error and degrees of freedom of this comparison (noncentral t); never from the difference that was seen", s.Worth()), Source: "Hoenig & Heisey 2001, Am Stat 55:19-24"},
		{ID: "standardised-difference", Term: "standardised difference", Formula: "difference of the means over the root mean of the two variances; 0.1 and more is usually worth a look", Source: "Austin 2009, Stat Med 28:3083-3107"},
		{ID: "e-value", Term: "E-value", Formula: "how strongly something not recorded would have to be related to both the choice of attachment and the result, as a risk ratio, to explain the difference; through RR = exp(0.91 d) with d the difference over the spread of expression within the arms, limits those of the difference itself; an approximation", Source: "VanderWeele & Ding 2017, Ann Intern Med 167:268-274"},
	}
}

// multiplicityText names the families, as audit/between corrects them.
func multiplicityText(s *results.Settings) string {
	finer := "controlling the false discovery rate"
	if s.Multiplicity == "holm" {
		finer = "by Holm's method"
	}
	return "P corrected by Holm's method over the directions over all teeth of first sets, and so over those of refinements; " + finer +
		" over the finer cells (tooth class, arch), which are parts of these and exploratory. A declared primary comparison is tested apart and takes half of alpha, shared by its looks; " +
		"switches, staging and attachment orientation are a family each"
}

func multiplicitySource(s *results.Settings) string {
	const holm = "Holm 1979, Scand J Stat 6:65-70"
	if s.Multiplicity == "holm" {
		return holm
	}
	return holm + "; Benjamini & Hochberg 1995, J R Stat Soc B 57:289-300"
}
