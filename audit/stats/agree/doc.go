// Package agree says how well readings agree: of one person, of two, and of teeth
// within a case.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                 source                               reference            called by
//	Agreement                 Bland & Altman 1986; Dahlberg 1940   printed meters, R    audit: method error
//	IntraclassCorrelations    Shrout & Fleiss 1979                 their table          audit: method error
//	OneWay, Autocorrelation   Searle 1971                          NIST, R              audit
//	Attenuation               Fuller 1987                          by definition        audit: quality
package agree
