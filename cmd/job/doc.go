// Package job is what the verbs of the command line and the page do alike: an audit
// and the last results of a database, what is remembered about sheets, what an import
// asks, how a stored record reads, how a file of criteria enters the settings.
//
// Place in the pipeline: between cmd/shortfall and cmd/page on one side and ingest
// and audit on the other. It prints nothing and knows no flags and no requests.
package job
