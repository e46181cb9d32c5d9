// Package planning answers how many cases a comparison needs, and what a given
// number could have shown.
//
// Place in the pipeline: a family of audit/stats. Power is never computed from an
// observed difference.
//
//	estimator                              source                        reference          called by
//	SampleSizeMeans, PowerMeans, ...       Chow, Shao & Wang 2008        R power.t.test     tests
//	SampleSizeProportions, ...Rates        Fleiss 1981; Zhu & Lakkis     R, tables          tests
//	DetectableFromSE, CasesFor        normal and t quantiles        by inversion       audit: verdicts
package planning
