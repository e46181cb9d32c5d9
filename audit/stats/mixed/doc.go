// Package mixed fits linear models with a random intercept, and slope, by case: ML
// and REML, Satterthwaite and Kenward-Roger degrees of freedom, profile limits.
//
// Place in the pipeline: a family of audit/stats.
//
//	estimator                              source                          reference              called by
//	FitRandomIntercept, FitRandomSlope     Pinheiro & Bates 2000           R lme4, nlme           audit: model
//	Contrast, KenwardRoger, JointTest      Kenward & Roger 1997            R lmerTest, pbkrtest   audit: model
//	ComponentInterval, RandomEffectTest    profile; Self & Liang 1987      R lme4                 audit: spread between cases
//	RandomEffects, ClusterMean             Henderson's BLUP                R lme4                 audit
package mixed
