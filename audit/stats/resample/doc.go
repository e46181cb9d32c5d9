// Package resample holds the bootstrap over cases (BCa and percentile limits) and
// the wild cluster bootstrap of a coefficient.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator          source                                reference                called by
//	BootstrapClusters  Efron 1987; Davison & Hinkley 1997    all samples listed, R    robust, nonpar
//	WildCluster        Cameron, Gelbach & Miller 2008        R, all signs listed      tests: the check on CR2 limits
package resample
