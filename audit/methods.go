package audit

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// methods are all ways in which numbers are estimated. Exhibits and columns point to
// them by id; what a renderer prints of a method is from here.
func methods() []results.Method {
	return []results.Method{
		{ID: "ratio-cr2", Name: "ratio of sums", Text: "total achieved / total planned; CR2 variance with the case as the unit, t on Satterthwaite degrees of freedom, or on fewer where a few cases lie far out (fourth moment of the cases)", Source: "Cochran 1977, Sampling Techniques, 3rd ed., ch. 6; Bell & McCaffrey 2002, Surv Methodol 28:169-181; O'Neill 2014, Am Stat 68:282-296"},
		{ID: "share-clustered", Name: "clustered share", Text: "Wilson limits at the effective number (number / design effect of clustering by case), quantile of t", Source: "Rao & Scott 1992, Biometrics 48:577-585; Wilson 1927, J Am Stat Assoc 22:209-212"},
		{ID: "share-difference", Name: "difference of two shares", Text: "Newcombe's limits from the Wilson limits of both, cases taken as independent; Fisher's exact P", Source: "Newcombe 1998, Stat Med 17:873-890; Fisher 1935, J R Stat Soc 98:39-82"},
		{ID: "share-wilson", Name: "share of cases", Text: "Wilson limits, cases taken as independent", Source: "Wilson 1927, J Am Stat Assoc 22:209-212"},
		{ID: "mean-cr2", Name: "clustered mean", Text: "mean with CR2 variance by case and Satterthwaite degrees of freedom; with one value a case, the t interval on cases - 1", Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181"},
		{ID: "mean-of-cases", Name: "mean of the cases", Text: "mean of the cases' own ratios, each case with the same weight, t on cases - 1 degrees of freedom", Source: "Donner & Klar 2000, Design and Analysis of Cluster Randomization Trials in Health Research"},
		{ID: "model-cr2", Name: "weighted linear model", Text: "linear model of achieved / planned with weights planned; CR2 variance by case, Satterthwaite degrees of freedom", Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683"},
		{ID: "same-mouth", Name: "same patients", Text: "linear model of achieved / planned with weights planned, case and course absorbed; CR2 variance by case, Satterthwaite degrees of freedom; only patients with both of what is compared count", Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Pustejovsky & Tipton 2018, J Bus Econ Stat 36:672-683"},
		{ID: "paired-cr2", Name: "paired ratio of sums", Text: "weighted linear model of expression on course over stacked pairs, CR2 variance by case, Satterthwaite degrees of freedom; P by the clustered signed rank", Source: "Bell & McCaffrey 2002, Surv Methodol 28:169-181; Datta & Satten 2008, Biometrics 64:501-507"},
		{ID: "poisson-cr2", Name: "rate", Text: "Poisson regression with exposure, CR2 variance by case, t limits on the log scale; none lost: exact Poisson limit", Source: "McCullagh & Nelder 1989; McCaffrey & Bell 2006, Stat Med 25:4081-4098; Garwood 1936, Biometrika 28:437-442"},
		{ID: "mean-cumulative-count", Name: "mean cumulative count", Text: "refinements a case by each month, open cases censored, none after an ending; infinitesimal jackknife by case", Source: "Nelson 1995, Technometrics 37:147-157; Ghosh & Lin 2000, Biometrics 56:554-562"},
		{ID: "aalen-johansen", Name: "cumulative incidence", Text: "share with a first event by each month, other endings competing, open cases censored; infinitesimal jackknife, t limits on the scale log(-log(1 - share))", Source: "Aalen & Johansen 1978, Scand J Stat 5:141-150"},
		{ID: "segmented", Name: "segmented regression", Text: "level and trend before, step and change of trend at the month of the change; weighted, CR2 variance by case", Source: "Wagner et al. 2002, J Clin Pharm Ther 27:299-309"},
		{ID: "control-limits", Name: "control limits", Text: "centre of the declared baseline ± 3 standard deviations from the spread between cases within quarters", Source: "Laney 2002, Quality Engineering 14:531-537; Nelson 1984, J Qual Technol 16:237-239"},
		{ID: "funnel-binomial", Name: "funnel limits", Text: "exact binomial, interpolated, at number / design effect, widened by overdispersion beyond chance", Source: "Spiegelhalter 2005, Stat Med 24:1185-1202"},
		{ID: "prediction-band", Name: "band for one new movement", Text: "line of achieved on planned, spread growing with a power of the plan, t on cases - 2 degrees of freedom", Source: "Pinheiro & Bates 2000, section 5.2.1; Seber & Lee 2003, section 5.3"},
		{ID: "agreement", Name: "agreement of two measurements", Text: "bias with t interval, Dahlberg's error, method of moments, intraclass correlation, limits of agreement", Source: "Houston 1983, Am J Orthod 83:382-390; Springate 2012, Eur J Orthod 34:158-163; Bland & Altman 1986, Lancet 1:307-310"},
		{ID: "quartiles", Name: "quartiles", Text: "quantiles of type 7, over movements", Source: "Hyndman & Fan 1996, Am Stat 50:361-365"},
		{ID: "bounds", Name: "bounds", Text: "every missing outcome set to nothing expressed and to all expressed; no interval", Source: "Little & Rubin 2019, Statistical Analysis with Missing Data, 3rd ed."},
		{ID: "criterion", Name: "interval against target", Text: "the interval of the criterion's own measure, all on one side of the target or not", Source: "convention of this audit"},
		{ID: "random-intercept", Name: "random intercept", Text: "random-intercept model with the tooth as the group, weights planned, by REML; no interval of its own", Source: "Laird & Ware 1982, Biometrics 38:963-974"},
		{ID: "regression-to-mean", Name: "regression to the mean", Text: "from the spread between teeth and the method error; no interval", Source: "Barnett et al. 2005, Int J Epidemiol 34:215-220"},
		{ID: "e-value", Name: "E-value", Text: "by way of RR = exp(0.91 d); an approximation", Source: "VanderWeele & Ding 2017, Ann Intern Med 167:268-274"},
		{ID: "two-one-sided", Name: "two one-sided tests", Text: "two one-sided t tests of the adjusted difference against the margin", Source: "Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680"},
		{ID: "planning", Name: "planning figure", Text: "from the standard error and the degrees of freedom of the comparison, or the half-width of the interval, falling with the square root of the cases", Source: "Bloom 1995, Eval Rev 19:547-556"},
		{ID: "welch", Name: "difference of two audits", Text: "difference with the standard errors of both audits and Welch's degrees of freedom, the audits taken as independent", Source: "Welch 1947, Biometrika 34:28-35"},
		{ID: "count", Name: "count", Text: "counted, no interval", Source: "convention of this audit"},
		{ID: "declared", Name: "declared", Text: "as the practice wrote it", Source: "convention of this audit"},
	}
}

// methodsSection says how the numbers were made, in words that follow the methods.
func methodsSection(r *results.Results) results.Section {
	s := &r.Provenance.Settings
	out := results.Section{ID: "methods", Title: "Methods", Lines: []results.Line{
		{Text: "The patient is the unit. Teeth of one patient resemble each other, so every interval allows for clustering by case, and every cell prints cases and movements. A cell with fewer than " + wording.Of(s.MinIntervalCases, "case") + " has no interval" + sharedWords(s) + "."},
		{Text: fmt.Sprintf("The headline is expression: the sum achieved along the plan over the sum planned, with an interval by %s. Plans below %s mm or %s° stay out of ratios, are counted, and have their own table. Tolerance is %s mm and %s°. Millimetres and degrees share neither an axis of a figure nor a mean nor a model. First sets and refinements are never pooled without saying so.",
			"CR2 variance with the case as the unit, on t with Satterthwaite degrees of freedom or fewer", wording.Setting(s.SmallestMM), wording.Setting(s.SmallestDeg), wording.Setting(s.ToleranceMM), wording.Setting(s.ToleranceDeg)), See: []string{"ratio-cr2", "expression"}},
		{Text: "Each patient is their own control: a verdict on styles rests on patients with both, within one movement and course, adjusted for the planned amount and what else varies within a patient, with CR2 variance by case and Satterthwaite degrees of freedom. " + rootWords(s) + " A verdict must keep its sign, and its interval, under the checks printed with it. The unadjusted difference and the one between patients stand beside it and decide nothing. " + multiplicityWords(s) + " Not distinguishable is not the same as equal.", See: []string{"same-mouth", "verdict", "check", "p-adjusted"}},
	}}
	for _, l := range limitations {
		out.Lines = append(out.Lines, results.Line{Role: results.Item, Text: l})
	}
	return out
}

func sharedWords(s *results.Settings) string {
	if s.Shared {
		return fmt.Sprintf("; one with fewer than %s is not shown, as these results may leave the practice", wording.Of(s.MinCellCases, "case"))
	}
	return ""
}

// rootWords name the root of the CR2 variance, which differs where weights do.
func rootWords(s *results.Settings) string {
	const weighted, equal = "rows times the root of their weight", "the rows as they are"
	used, other := weighted, equal
	if s.CR2Root == results.EqualVariances {
		used, other = equal, weighted
	}
	return "CR2 takes " + used + " to have equal variance (the other setting of this audit takes " + other + "). A ratio of sums takes weighted rows."
}

// multiplicityWords names the families that are corrected, and what is not.
func multiplicityWords(s *results.Settings) string {
	finer := "after Benjamini and Hochberg"
	if s.Multiplicity == "holm" {
		finer = "after Holm"
	}
	text := fmt.Sprintf("P values are corrected after Holm over the directions over all teeth of first sets, and apart over those of refinements, and %s over the finer cells, which are exploratory; a verdict of higher or lower needs a corrected P below %s.", finer, wording.Setting(s.Alpha))
	if s.Primary != (results.By{}) {
		return text + " The one primary comparison, declared beforehand, is " + wording.Names{Notation: s.Notation}.Cell(s.Primary) + "; it is tested apart and takes half of that level, the directions the other half."
	}
	return text + " No primary comparison was declared beforehand."
}

// limitations every retrospective audit of this kind has.
var limitations = []string{
	"Confounding by indication: whoever designs the attachment looks at the tooth and the plan first. Adjustment reaches only what was recorded: a part of the mouth that somebody knew to lag, and designed for, looks like an effect of the design. The E-value of a difference prices this.",
	"Overcorrection: a plan that is made larger than needed, on purpose and to be sure, lowers the share of it that is achieved without any less being moved. Adjusting for the size of plan does not undo this: what was needed is not on record. Where the style with less achieved had clearly larger plans in the same patients, and not clearly less was moved, it is said beside the difference, with both amounts.",
	"Teeth of one mouth lean on each other: what an attachment does to one tooth may show at its neighbours, and a contrast within the mouth then shows too much or too little.",
	"One number for all teeth is the mean of those compared, weighted by planned amount. Where one tooth class makes all of it, that mean differs too, and telling it is no error in itself; a check makes it rare, not impossible, and the tables give each class.",
	"Survivorship: cases that were discontinued, switched or transferred often lack an outcome; the case log and the worst and best cases show how much that could matter.",
	"Measurement: achieved movement depends on the superimposition; its error is told under Method error, where movements were measured twice.",
	"Regression to the mean: what fell short in one course tends to do better in the next, whatever is changed.",
	"Many comparisons: some of them differ by chance. Read the corrected P and the interval, not the largest difference.",
}
