// Package prop estimates shares: of cases, of movements within cases, and their
// differences.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                      source                              reference                    called by
//	ClusteredProportion            Wilson on an effective number       R, litters, simulation       audit: share outside tolerance
//	Wilson, Jeffreys, ...          Newcombe 1998; Brown et al. 2001    Newcombe's tables            audit: shares of cases
//	NewcombeDifference             Newcombe 1998, method 10            Newcombe's tables            audit
//	RaoScottTest, DonnerTest       Rao & Scott 1992; Donner 1989       litters of Weil              tests
//	McNemar, McNemarOddsRatio      McNemar 1947                        R                            audit: switches
//	Garwood                        Garwood 1936                        printed table                audit: counts
package prop
