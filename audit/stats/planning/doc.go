// Package planning answers what a comparison could have shown, and how many cases a
// difference needs that the reader names.
//
// Place in the pipeline: a family of audit/stats. Power is never computed from an
// observed difference.
//
//	estimator         source        reference       called by
//	DetectableFromSE  Bloom 1995    R qt            between
//	PowerFromSE       noncentral t  R power.t.test  power for a named difference
//	MoreCasesFor      no source      by inversion      between
package planning
