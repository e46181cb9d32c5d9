// Package numeric holds small dense linear algebra and minimisers.
//
// Place in the pipeline: below the families of audit/stats; gonum does what is not
// in an inner loop.
package numeric
