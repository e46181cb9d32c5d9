// Package meta pools estimates of several practices.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator  source                                          reference            called by
//	Meta       DerSimonian & Laird 1986; Hartung & Knapp 2001  R metafor, BCG data  pooled audits
package meta
