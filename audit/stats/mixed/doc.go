// Package mixed fits linear models with a random intercept by case, ML and REML.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator           source             reference             called by
//	FitRandomIntercept  Bates et al. 2015  R lme4, closed forms  grid: values drawn towards each other
package mixed
