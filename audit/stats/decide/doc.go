// Package decide turns P values and intervals into decisions that hold for a whole
// family of them.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                            source                     reference            called by
//	Holm                                 Holm 1979                  R p.adjust           between, compare
//	BenjaminiHochberg                    Benjamini & Hochberg 1995  R p.adjust           between, compare
//	HolmLevels, BenjaminiHochbergLevels  the same procedures        by inversion         what could have been seen
//	TestEquivalence                      Schuirmann 1987            R t.test             between
package decide
