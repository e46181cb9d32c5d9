// Package decide turns P values and intervals into decisions that hold for a whole
// family of them.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                                source                          reference            called by
//	Holm, Hochberg                           Holm 1979; Hochberg 1988        R p.adjust           audit: verdicts of page one
//	BenjaminiHochberg, BenjaminiYekutieli    Benjamini & Hochberg 1995       R p.adjust           audit: finer cells
//	HolmWithPrimary, LookLevel               Bonferroni split             by hand, simulation   audit: declared primary, looks
//	HolmLevels, BenjaminiHochbergLevels      the same procedures          by inversion          audit: what could have been seen
//	TestEquivalence                          Schuirmann 1987                 R                    audit: equivalence
package decide
