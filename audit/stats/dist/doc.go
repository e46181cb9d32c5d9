// Package dist holds distribution functions, tails and quantiles.
//
// Place in the pipeline: the floor of audit/stats; it imports nothing of the
// project. Sources stand at the functions; the reference values are R's and
// Abramowitz & Stegun's; every family calls it.
//
//	NormalTail, NormalQuantile, NormalTwoSided          normal
//	TTail, TQuantile, TTwoSided                         Student, any df > 0
//	ChiSquareTail, ChiSquareQuantile, FTail, FQuantile  variances and their ratios
//	RegularisedBeta, BetaQuantile                       limits of a share
//	BinomialProbability, BinomialCDF, BinomialQuantile  funnel limits
//	NoncentralTail                                      power
package dist
