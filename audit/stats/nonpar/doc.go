// Package nonpar holds the signed-rank test for clustered differences.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator            source               reference                        called by
//	ClusteredSignedRank  Datta & Satten 2008  all flips of case scores listed  switches
package nonpar
