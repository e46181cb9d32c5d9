// Package corpus holds the reader to sheets as practices keep them: ingest/testdata/corpus,
// written with what a person means by each and without sight of the reader.
//
// Place in the pipeline: none; it is a test of all of ingest through its front door.
package corpus
