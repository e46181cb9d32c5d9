// Package control holds control charts and funnel limits.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator               source                              reference              called by
//	PChart, UChart          Montgomery 2013; exact tails        R qbinom, qpois        audit: run charts
//	XbarS, ChartFactors     Montgomery 2013, appendix VI        printed factors        tests
//	RunRules                Nelson 1984                         their patterns         audit: run charts
//	Funnel...               Spiegelhalter 2005                  R                      audit: funnel
//	Overdispersion          Spiegelhalter 2005, section 3.1     R                      audit: funnel
package control
