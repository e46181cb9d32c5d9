// Package confound measures what a comparison of unlike groups may hide: balance,
// overlap, and the strength an unmeasured cause would need.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                                   source                            reference             called by
//	EValueRR, EValueSMD, EValueSMDLimits        VanderWeele & Ding 2017           their examples        audit: sensitivity
//	StandardizedMeanDifference, ...Share...     Austin 2009                       R                     audit: balance
//	Overlap                                     common range of both arms         by definition         audit
package confound
