// Package statstest holds what tests of several families share: data sets,
// reference values and comparisons.
//
// Place in the pipeline: tests of audit/stats only.
package statstest
