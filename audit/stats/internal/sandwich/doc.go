// Package sandwich decomposes weighted designs and holds the cluster-robust
// variances CR0 to CR3 with their moments: what linear, count and mixed models
// share.
//
// Place in the pipeline: below the families of audit/stats.
package sandwich
