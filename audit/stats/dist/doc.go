// Package dist holds distribution functions, tails and quantiles.
//
// Place in the pipeline: the floor of audit/stats; it imports nothing of the
// project. Source and reference value of each stand at the function and in the
// tests (R, Abramowitz & Stegun); who calls: every family.
//
//	NormalTail, NormalCDF, NormalQuantile, NormalTwoSided   normal
//	TTail, TQuantile, TTwoSided                             Student, any df > 0
//	ChiSquareTail, ChiSquareQuantile, FTail, FQuantile      variance ratios
//	BetaQuantile                                            exact binomial limits
//	Binomial..., Poisson...                                 counts, exact limits
//	NoncentralTail                                          power
package dist
