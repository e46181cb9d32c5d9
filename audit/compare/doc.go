// Package compare sets one choice against another in the mouths that hold both:
// teeth of one patient, in one course, share the patient, wear, clinician, month
// and aligner, so that what makes one patient respond better than another
// cancels. It gives the difference, the checks it must survive, and the reading
// between patients beside it.
//
// Place in the pipeline: audit turns its rows into a Data value, one a cell and
// question, asks this package, corrects for the number of questions and writes
// the sentences. Numbers in, numbers and reasons out: no records, no text for
// the page but names handed in.
package compare
