// Package robust estimates means, ratios of sums and linear models from rows that
// belong to cases, with cluster-robust variance.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                     source                               reference                      called by
//	RatioOfSums                   Bell & McCaffrey 2002, CR2           R lm + clubSandwich            audit: expression of every cell
//	RatioOfSumsLongTails          the same, df by fourth moments       by definition, simulation      RatioOfSums
//	RatioOfSumsLinearised         Cochran 1977, 6.9, 6.13              Cochran's cities               RatioOfSums of mixed signs
//	RatioOfSumsCR2, ...Jackknife  Bell & McCaffrey; Cochran 1977, 6.82 R, Cochran's cities            tests
//	RatioOfSumsFieller, Fieller   Fieller 1954                         R, inverted test               audit, by name
//	AverageOfCases                Donner & Klar 2000                   R t.test, simulation           audit: the average patient
//	ClusteredMean                 Bell & McCaffrey 2002                R clubSandwich                 audit
//	FitLinear, Contrast           Bell & McCaffrey; Pustejovsky 2018   R clubSandwich, NIST           audit: comparison, trends
//	FitAbsorbed, its Contrast,    Frisch & Waugh 1933; Pustejovsky 2018 R lm with dummies, plm        audit: same mouth
//	  Influence, Levels
//	JointTest                     Pustejovsky & Tipton 2018, eq. 11    R clubSandwich HTZ             audit: tooth classes
//	AdjustedMeans, MeanRow        marginal standardisation             R                              audit: model
//	FitSegmented                  interrupted series                   R                              audit: what changed
//	FitPrediction                 regression of achieved on planned    R, held-out cases              audit: outlook
//	BootstrapRatioOfSums          resample                             listed distribution            tests
package robust
