// Package robust estimates means, ratios of sums and linear models from rows that
// belong to cases, with cluster-robust variance.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                                                     source                                            reference                         called by
//	RatioOfSums                                                   Bell & McCaffrey 2002, CR2                        R lm + clubSandwich, svyratio     grid, cycle
//	RatioOfSumsLinearised                                         Cochran 1977, 6.9, 6.13                           R svyratio, his cities            RatioOfSums, where signs mix
//	RatioOfSumsFieller, Fieller                                   Fieller 1954                                      R, the test inverted              none; by name
//	AverageOfCases                                                Donner & Klar 2000                                R t.test, simulation              the average patient
//	ClusteredMean                                                 Bell & McCaffrey 2002                             R clubSandwich, NIST              refinements
//	ClusteredMeanOfSums                                           the same, of sums of cases                        ClusteredMean                     grid
//	WelchDifference                                               Welch 1947                                        R t.test, Student's sleep         changes between two audits
//	FitLinear, Contrast, Cov, ModelCov                 Bell & McCaffrey 2002; Pustejovsky & Tipton 2018  R clubSandwich, NIST              between, compare
//	FitAbsorbed, Contrast, JointTest, Influence, Without          Frisch & Waugh 1933; Pustejovsky & Tipton 2018    R clubSandwich with dummies, plm  same mouth
//	NewNested, Fit, Coef                                          the same, of models on some of the columns       FitAbsorbed                       checks of the same mouth
//	Refit, Keeping                                                the same, from what a fit has computed            FitAbsorbed, to the last bit     checks of the same mouth
//	FitSegmented                                                  interrupted series, by FitLinear                  R lm + clubSandwich               cycle: what changed
//	FitPrediction, At, HeldOut                                    achieved on planned, by FitLinear                 R, cases held out                 outlook
package robust
