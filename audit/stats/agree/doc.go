// Package agree says how well readings agree: of one person and of two.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator               source                              reference             called by
//	Agreement               Bland & Altman 1986; Dahlberg 1940  printed meters, R     methoderror, switches
//	IntraclassCorrelations  Shrout & Fleiss 1979                their table, R psych  Agreement
package agree
