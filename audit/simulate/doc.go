// Package simulate makes practices whose truth is known, to try a comparison
// of attachment styles against the reasons for which styles seem to differ when
// they do not: designs that follow the patient's response, teeth designed anew
// because they failed, results that drift in time with the style, clinicians of
// different habit, plans of different size, misplaced decimals.
//
// Place in the pipeline: tests use it; no product code imports it. It knows the
// records (ingest/casebook) and nothing of the analysis, so that what it calls
// true does not come from the code that is judged. The same seed gives the same
// practice.
package simulate
