// Package glm fits counts per case or per row: Poisson and negative binomial with
// cluster-robust variance.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                      source                                 reference                  called by
//	FitCount, Contrast, RateRatio  McCullagh & Nelder 1989; Lawless 1987  R glm, MASS, clubSandwich  refinements, losses
package glm
