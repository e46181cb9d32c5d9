package comparison

import (
	"fmt"

	"shortfall/audit/between"
	"shortfall/audit/results"
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
			ID: "difference-adjusted", Term: "style difference, adjusted", Formula: "coefficient of style in a linear model of achieved / planned weighted by planned amount, with the adjusters named beside it; CR2 variance by case, Satterthwaite degrees of freedom",
			Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683",
		},
		{ID: "adjusted-mean", Term: "adjusted mean expression", Formula: "the model's prediction for every movement of both arms with the style set to one, averaged with weights planned amount", Source: "Muller & MacLehose 2014, Int J Epidemiol 43:962-970"},
		{ID: "p-adjusted", Term: "P adjusted", Formula: multiplicityText(s), Source: multiplicitySource(s)},
		{
			ID: "verdict", Term: "verdict", Formula: fmt.Sprintf("clinician-designed seen against software-suggested: higher or lower where P adjusted is below %g; not comparable below %d cases in an arm, where the planned amounts hardly overlap, where the recorded covariates determine the style, or where the model cannot be estimated or rests on fewer than %d degrees of freedom; otherwise not distinguishable",
				s.Alpha, s.MinIntervalCases, between.FewestDF), Source: "Tipton 2015, Psychol Methods 20:375-393 (degrees of freedom)",
		},
		{ID: "overlap", Term: "overlap", Formula: "share of an arm's movements inside the central 90 % of the other arm's planned amounts, mean of the two arms; at least 50 % is enough", Source: "convention of this audit"},
		{ID: "detectable-difference", Term: "detectable difference", Formula: "(t at 1 - alpha/2 + t at 80 %) x standard error: what this comparison could have seen four times in five, were it the only one: before correction for multiplicity", Source: "Bloom 1995, Eval Rev 19:547-556"},
		{ID: "more-cases", Term: "more cases", Formula: "cases to add in each style for the observed difference to become detectable, the error falling with the square root of the cases", Source: "arithmetic on the line above"},
		{ID: "standardised-difference", Term: "standardised difference", Formula: "difference of the means over the root mean of the two variances; 0.1 and more is usually worth a look", Source: "Austin 2009, Stat Med 28:3083-3107"},
		{ID: "e-value", Term: "E-value", Formula: "how strongly something not recorded would have to be related to both the choice of attachment and the result, as a risk ratio, to explain the difference; through RR = exp(0.91 d) with d the difference over the spread of expression within the arms, limits those of the difference itself; an approximation", Source: "VanderWeele & Ding 2017, Ann Intern Med 167:268-274"},
	}
}

func multiplicityText(s *results.Settings) string {
	how := "controlling the false discovery rate"
	if s.Multiplicity == "holm" {
		how = "by Holm's step-down method"
	}
	return "P corrected, " + how + ", in two families of the comparisons that could be judged: directions over all teeth, by course; and the finer cells " +
		"(tooth class, arch), which are parts of the first and exploratory. A declared primary comparison is tested apart, uncorrected; " +
		"switches, staging and attachment orientation are a family each"
}

func multiplicitySource(s *results.Settings) string {
	if s.Multiplicity == "holm" {
		return "Holm 1979, Scand J Stat 6:65-70"
	}
	return "Benjamini & Hochberg 1995, J R Stat Soc B 57:289-300"
}
