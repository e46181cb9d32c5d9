// Package bycase walks rows that belong to cases and checks what callers hand in.
//
// Place in the pipeline: below the families of audit/stats.
package bycase
