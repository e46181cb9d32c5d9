// Package schema holds the published JSON Schema of results.json.
//
// Place in the pipeline: report hands it out beside the results; nothing reads
// it at run time. It is built from the Go types and from fields.txt by a test
// of package report, which also proves that types and schema agree.
package schema

import _ "embed"

// Results is the schema, JSON Schema draft 2020-12.
//
//go:embed results-2.0.schema.json
var Results []byte

// File is its name, ID its identifier.
const (
	File = "results-2.0.schema.json"
	ID   = "urn:shortfall:results:2.0"
)
