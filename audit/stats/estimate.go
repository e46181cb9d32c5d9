// Package stats holds what the families of estimators share: Estimate, Warning,
// Status, the linear model and its variances, quantiles of a sample.
//
// Place in the pipeline: audit calls the families; they do no I/O and import
// nothing of the project but each other, downwards: dist, stats, internal/...,
// robust, then the rest. Functions never change their arguments. A
// caller's mistake (slices of unequal length, a level outside 0 to 1) is an
// error; a data set that cannot carry the estimate gives NaN limits and a
// Warning that names the remedy. Warnings are part of the result and must be
// shown with it.
//
//	robust    means, ratios of sums, linear models, clustered by case
//	prop      shares and counts
//	nonpar    clustered signed ranks
//	agree     agreement of readings
//	mixed     random intercepts
//	glm       counts
//	events    first and recurring events in time, with censoring
//	control   control charts and funnels
//	planning  what could have been seen, cases needed
//	confound  balance, overlap, E-values
//	decide    many tests, equivalence
//	meta      several practices
//	dist      distributions
//	round     half away from zero, where numbers become text
//
// The doc.go of each family is its catalogue: estimator, source, reference
// value, who calls it. Each estimator, or its result type, cites its paper and
// the equation or section of the formula; these references are given from
// memory, but for those whose volume and pages stand in the reference lists of R's
// help pages (read there: Aalen & Johansen 1978, Bell & McCaffrey 2002, Benjamini &
// Hochberg 1995, Higgins & Thompson 2002, Holm 1979, Hyndman & Fan 1996, Imbens &
// Kolesar 2016, Newcombe 1998, Pustejovsky & Tipton 2018, Stone 1974, Tipton 2015,
// Viechtbauer 2005 and 2007, Wilson 1927). What they yield is held by tests against
// printed values, open data sets and R, with the source of each number beside it. A
// choice that rests on no paper says "no source".
package stats

// Warning says what is wrong with an estimate and what would mend it.
type Warning struct {
	ID     string // stable, "few-clusters"
	Text   string
	Remedy string
}

// Estimate is a number with its uncertainty and what was assumed.
type Estimate struct {
	Value    float64
	SE       float64 // standard error; NaN where the method gives none
	DF       float64 // degrees of freedom of the t reference; +Inf for normal
	Low      float64 // NaN or infinite where not estimable
	High     float64
	Level    float64 // confidence level of Low and High, 0.95
	P        float64 // two-sided P of Value against the null; NaN where no test is made
	N        int     // observations
	Clusters int     // independent units
	Method   string  // names the estimator and what it assumes, fit for print
	Warnings []Warning
}
