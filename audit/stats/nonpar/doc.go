// Package nonpar holds rank tests with their limits, clustered ones too, and limits
// of quantiles.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                                source                             reference             called by
//	ClusteredSignedRank, ClusteredPseudomedian  sign flips of case scores       all flips listed      audit: switches
//	SignedRank, RankSum                      Hollander, Wolfe & Chicken 2014    R, printed tables     tests
//	QuantileInterval                         order statistics                   R                     tests
//	ClusteredQuantile                        bootstrap over cases               R                     tests
package nonpar
