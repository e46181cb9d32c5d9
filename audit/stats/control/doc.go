// Package control holds control charts and funnel limits.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                             source                     reference               called by
//	Dispersion, ShareEffect, SigmaLimits  Shewhart 1931; Laney 2002  a printed p chart       cycle, funnels
//	RunRules                              Nelson 1984                their patterns, chance  cycle
//	FunnelBinomial                        Spiegelhalter 2005, A.1.1  R qbinom                funnels
//	Overdispersion                        Spiegelhalter 2005, 5.1    by hand, R              funnels
package control
