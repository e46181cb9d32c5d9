package audit

import (
	"fmt"

	"shortfall/audit/results"
)

// questionDefinitions explain the measures beyond the grid.
func questionDefinitions(s results.Settings) []results.Definition {
	q := s.Questions
	return []results.Definition{
		{ID: "switch", Term: "switch", Formula: "a movement short by more than the tolerance and planned again, in the same direction, in the next course under another style; set against those that kept theirs, adjusted for the amount planned again, its square and the expression of the course before, then for the recorded covariates; not comparable where the amounts planned again hardly overlap", Source: "analysis of covariance: Barnett et al. 2005, Int J Epidemiol 34:215-220"},
		{ID: "expected-change-without-effect", Term: "expected change without effect", Formula: "(1 - reliability) x (mean of all - mean of the selected) x (1 + half of planned first / planned next); reliability = between-tooth variance / total variance; the second term is the scan both courses share", Source: "Bland & Altman 1994, BMJ 308:1499; Barnett et al. 2005; the second term is our own"},
		{ID: "compound-load", Term: "compound load", Formula: fmt.Sprintf("sum over the axes of a tooth in one course of planned amount / tolerance; listed with two or more movements of at least %g mm or %g°", q.LargeMM, q.LargeDeg), Source: "sizes: inclusion criteria of Simon et al. 2014, BMC Oral Health 14:68"},
		{ID: "orientation-table", Term: "feature table", Formula: "orientation of the feature's long face that is square to the movement", Source: q.FitSource},
		{ID: "matched-strata", Term: "matched strata", Formula: "difference inside strata of tooth class, plan size by doublings and wear that hold both styles; strata weigh as w1 w0 / (w1 + w0), w the planned totals", Source: "our own; estimate as with stratum indicators in the weighted model"},
		{ID: "criterion", Term: "criterion", Formula: "met, or not met, where the whole interval lies on one side of the target; else not enough data", Source: ""},
		{ID: "control-limits", Term: "control limits", Formula: fmt.Sprintf("centre of the declared baseline (at least %d quarters with data) ± 3 x root of (spread between cases within quarters / size of the quarter), shares not below the binomial spread", q.BaselineQuarters), Source: "Shewhart 1931 (from memory); spread as in Laney 2002, Quality Engineering 14:531-537; rules: Nelson 1984, J Qual Technol 16:237-239"},
		{ID: "step-at-a-protocol-change", Term: "step at a protocol change", Formula: "segmented regression: level and trend before, step and change of trend at the month of the change, clustered by case", Source: "Wagner et al. 2002, J Clin Pharm Ther 27:299-309"},
		{ID: "funnel-limits", Term: "funnel limits", Formula: "exact binomial, interpolated, at number / design effect; widened by overdispersion (z winsorised at 10 %) where that is beyond chance", Source: "Spiegelhalter 2005, Stat Med 24:1185-1202"},
		{ID: "by-plan", Term: "planned against achieved", Formula: "plans of an axis cut at their quartiles over all styles (rounded to 0.1 mm, 1 degree); medians of planned and achieved and the quartiles of achieved (type 7) by style, initial courses", Source: "Hyndman & Fan 1996, Am Stat 50:361-365"},
		{ID: "expected-result-of-a-plan", Term: "expected result of a plan", Formula: fmt.Sprintf("line of achieved on planned, spread growing with a power of the plan; band for %.0f of 100 new movements on t with cases - 2 degrees of freedom", 100*q.BandShare), Source: "Pinheiro & Bates 2000, section 5.2.1; Seber & Lee 2003, section 5.3"},
		{ID: "loss-rate", Term: "loss rate", Formula: "features lost / months worn, months from aligners used x change interval, else from course dates; Poisson with exposure, clustered by case", Source: "McCullagh & Nelder 1989; McCaffrey & Bell 2006, Stat Med 25:4081-4098"},
		{ID: "below-detectable", Term: "below detectable", Formula: "a difference smaller than the smallest detectable change of the method: no single measurement could show it", Source: "Houston 1983, Am J Orthod 83:382-390"},
	}
}
