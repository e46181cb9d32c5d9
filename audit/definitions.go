package audit

import (
	"fmt"

	"shortfall/audit/between"
	"shortfall/audit/results"
)

// definitions explain every printed measure, with the settings that shape them.
func definitions(s results.Settings) []results.Definition {
	level := fmt.Sprintf("%.4g %%", 100*s.Level)
	return []results.Definition{
		{ID: "planned-achieved", Term: "planned, achieved", Formula: "signed amounts along one axis; achieved counts along the planned direction, so movement the wrong way is negative", Source: ""},
		{
			ID: "expression", Term: "expression (ratio of sums)", Formula: "total achieved / total planned over the movements of a cell; interval " + level +
				" with the case as the unit, CR2 variance, t on Satterthwaite degrees of freedom, or on fewer where a few cases lie far out (fourth moment of the cases)",
			Source: "Cochran 1977, Sampling Techniques, 3rd ed., ch. 6; Bell & McCaffrey 2002, Surv Methodol 28:169-181; O'Neill 2014, Am Stat 68:282-296",
		},
		{ID: "movement-expression", Term: "expression of one movement (F1)", Formula: "achieved / planned; its median and quartiles (type 7) are printed, its mean is not, because small plans make it explode", Source: "Simon et al. 2014, BMC Oral Health 14:68; Hyndman & Fan 1996, Am Stat 50:361-365"},
		{ID: "percentage-accuracy", Term: "percentage accuracy (F2)", Formula: "mean of 100 - 100 |planned - achieved| / |planned|; overshoot counts like shortfall, so it is not expression", Source: "Kravitz et al. 2009, Am J Orthod Dentofacial Orthop 135:27-35"},
		{ID: "mean-difference", Term: "mean difference (F3)", Formula: "mean of achieved - planned along the plan; negative is short; shortfall is its negative", Source: "Grünheid et al. 2017, Angle Orthod 87:809-815"},
		{ID: "slope", Term: "slope (F4)", Formula: "regression of achieved on planned through the origin: sum of planned x achieved / sum of planned squared", Source: "Smith et al. 2022, Prog Orthod 23:37 (regression of achieved on planned)"},
		{
			ID: "equivalence", Term: "equivalence (F5)", Formula: fmt.Sprintf("two one-sided t tests that the adjusted style difference lies within %g points either way, each at %g, not corrected for the number of comparisons; said in words for a declared primary comparison only, since not distinguishable is not the same as equal", s.EquivalencePoints, s.Alpha),
			Source: "Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680; the margin is a convention of this audit",
		},
		{
			ID: "outside-tolerance", Term: "outside tolerance (F6)", Formula: fmt.Sprintf("share of movements with |achieved - planned| above %g mm or %g degrees; Wilson limits on the effective number of movements, case as the unit", s.ToleranceMM, s.ToleranceDeg),
			Source: "Grünheid et al. 2017, Angle Orthod 87:809-815 (0.5 mm, 2 degrees); Rao & Scott 1992, Biometrics 48:577-585",
		},
		{ID: "mean-absolute-error", Term: "mean absolute error (F7)", Formula: "mean of |achieved - planned| in the unit of the axis", Source: "common practice, no source"},
		{ID: "smallest-plan", Term: "smallest plan", Formula: fmt.Sprintf("plans below %g mm or %g degrees stay out of every ratio, are counted, and are shown as unplanned movement", s.SmallestMM, s.SmallestDeg), Source: "convention of this audit"},
		{ID: "cells-listed", Term: "cells listed", Formula: fmt.Sprintf("every axis, direction, style and course by tooth class and arch with the margins over them, and every single tooth over all styles; a single tooth under one style only from %d cases on", s.MinIntervalCases), Source: "convention of this audit"},
		{ID: "design-effect", Term: "design effect", Formula: "clustered variance of the ratio / variance with every movement taken as independent", Source: "Kish 1965, Survey Sampling, section 8.2"},
		{
			ID: "pooled-expression", Term: "pooled expression of a tooth", Formula: "tooth means of expression drawn together by a random-intercept model (REML) with the tooth as the group: the fewer the movements, the nearer the average of all teeth",
			Source: "Laird & Ware 1982, Biometrics 38:963-974; Robinson 1991, Stat Sci 6:15-32",
		},
		{
			ID: "difference-unadjusted", Term: "style difference, unadjusted", Formula: "expression with clinician-designed minus expression with software-suggested features, in points of the plan: the difference of the two ratios of sums", Source: "",
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
		{ID: "e-value", Term: "E-value", Formula: "how strongly something not recorded would have to be related to both the choice of feature and the result, as a risk ratio, to explain the difference; through RR = exp(0.91 d) with d the difference over the spread of expression within the arms, limits those of the difference itself; an approximation", Source: "VanderWeele & Ding 2017, Ann Intern Med 167:268-274"},
		{ID: "refinements", Term: "refinements", Formula: "courses after the initial one, of completed cases; mean with t interval, shares with Wilson interval, cases taken as independent", Source: "Wilson 1927, J Am Stat Assoc 22:209-212"},
		{ID: "refinement-rate-ratio", Term: "refinement rate ratio", Formula: "refinements a case with mainly clinician-designed over mainly software-suggested initial features; Poisson regression with CR2 variance", Source: "McCullagh & Nelder 1989, Generalized Linear Models, 2nd ed.; McCaffrey & Bell 2006, Stat Med 25:4081-4098"},
		{ID: "planned-again", Term: "planned again", Formula: "share of the movements planned to a meaningful amount in the initial course of completed cases, style recorded, whose tooth and axis were planned again so in the same direction in the next course", Source: "convention of this audit"},
		{ID: "attachments-lost", Term: "features lost", Formula: "share of bonded features (one tooth in one course) recorded as lost; never adjusted for, because it follows the choice of feature", Source: "convention of this audit"},
		{ID: "bounds", Term: "best and worst case", Formula: "expression with every missing outcome set to nothing expressed, and to all expressed; movement the wrong way and overshoot lie outside these", Source: "Little & Rubin 2019, Statistical Analysis with Missing Data, 3rd ed. (bounds)"},
		{ID: "method-error", Term: "method error", Formula: "Dahlberg: root of (sum of squared differences / 2n); method of moments: SD of the differences / root 2; smallest detectable change: 1.96 x root 2 x random error", Source: "Houston 1983, Am J Orthod 83:382-390; Springate 2012, Eur J Orthod 34:158-163"},
		{ID: "withheld-cells", Term: "withheld cells", Formula: withholdText(s), Source: "common practice of small-number rules"},
	}
}

func multiplicityText(s results.Settings) string {
	how := "controlling the false discovery rate"
	if s.Multiplicity == "holm" {
		how = "by Holm's step-down method"
	}
	return "P corrected, " + how + ", in two families of the comparisons that could be judged: directions over all teeth, by course; and the finer cells " +
		"(tooth class, arch), which are parts of the first and exploratory. A declared primary comparison is tested apart, uncorrected; " +
		"switches, staging and feature orientation are a family each"
}

func multiplicitySource(s results.Settings) string {
	if s.Multiplicity == "holm" {
		return "Holm 1979, Scand J Stat 6:65-70"
	}
	return "Benjamini & Hochberg 1995, J R Stat Soc B 57:289-300"
}

func withholdText(s results.Settings) string {
	if !s.Shared {
		return fmt.Sprintf("nothing is withheld inside the practice; in results that leave it, cells and counts below %d cases are, with as many more as keep them from being worked out; the cases logged, analysed and completed are always printed", s.MinCellCases)
	}
	return fmt.Sprintf("cells and counts below %d cases are withheld, with as many more as keep them from being worked out; the cases logged, analysed and completed are always printed", s.MinCellCases)
}
