package since

import (
	"encoding/json"
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Earlier is an earlier audit, with what of its records is at hand.
type Earlier struct {
	Results *results.Results
	// Given are the movements that its files gave, as they stand in this database; nil
	// where no database can tell.
	Given map[casebook.MovementKey]bool
}

// oldMajor is the schema before this one; its numbers mean the same, its verdicts do not.
const oldMajor = "1"

func major(r *results.Results) string {
	m, _, _ := strings.Cut(r.SchemaVersion, ".")
	return m
}

const remedy = "give the --json output of an earlier audit"

// Parse reads the results file of an earlier audit. name is used in errors. Of results
// of schema 1 what is compared is read, but no verdict; any other major version is
// refused.
func Parse(name string, data []byte) (*results.Results, error) {
	notOurs := func(err error) error {
		return fmt.Errorf("%s: not a results file of this program: %w; %s", name, err, remedy)
	}
	var head struct {
		SchemaVersion string `json:"schema_version"`
		Provenance    struct {
			Tool string `json:"tool"`
		} `json:"provenance"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, notOurs(err)
	}
	r := &results.Results{SchemaVersion: head.SchemaVersion}
	mine, _, _ := strings.Cut(results.SchemaVersion, ".")
	switch {
	case head.SchemaVersion == "" || head.Provenance.Tool == "":
		return nil, fmt.Errorf("%s: not a results file of this program: schema version or provenance is missing; %s", name, remedy)
	case major(r) == mine:
		if err := json.Unmarshal(data, r); err != nil {
			return nil, notOurs(err)
		}
		return r, nil
	case major(r) == oldMajor:
		if err := older(data, r); err != nil {
			return nil, notOurs(err)
		}
		return r, nil
	}
	return nil, fmt.Errorf("%s: results of schema version %s, this program reads %s.x and the numbers of %s.x: make them anew from the earlier data", name, r.SchemaVersion, mine, oldMajor)
}

// older reads what is compared from results of schema 1.
func older(data []byte, r *results.Results) error {
	var o struct {
		Provenance  results.Provenance  `json:"provenance"`
		Scope       results.Scope       `json:"scope"`
		Expression  []results.Cell      `json:"expression"`
		Refinements results.Refinements `json:"refinements"`
		Questions   struct {
			Reaudit results.Reaudit `json:"reaudit"`
		} `json:"questions"`
	}
	err := json.Unmarshal(data, &o)
	r.Provenance, r.Scope, r.Expression, r.Refinements, r.Questions.Reaudit = o.Provenance, o.Scope, o.Expression, o.Refinements, o.Questions.Reaudit
	return err
}
