// Package glm fits counts per case or per row: Poisson and negative binomial with
// cluster-robust variance.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                     source                            reference                   called by
//	FitCount, Contrast, RateRatio McCullagh & Nelder 1989           R glm, MASS, clubSandwich   audit: refinements, losses
//	CompareDispersion             Lawless 1987                      R                           audit: refinements
//	AdjustedMeans, JointTest      standardisation; Hotelling T^2    R                           tests
package glm
