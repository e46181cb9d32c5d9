// Package confound measures what a comparison of unlike groups may hide: balance,
// overlap, and the strength an unmeasured cause would need.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                                                source                                        reference       called by
//	EValueRR, EValueSMDLimits                                VanderWeele & Ding 2017                       their examples  between
//	StandardizedMeanDifference, StandardizedShareDifference  Austin 2009                                   by hand         between: balance
//	OverlapWeights                                           Li, Morgan & Zaslavsky 2018                    R, glm          between: matched strata
//	Overlap                                                  common range of both arms, the smaller share  by definition   between, compare
package confound
