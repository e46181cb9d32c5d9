package audit

import (
	"shortfall/audit/ask/orientation"
	"shortfall/audit/casesheet"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// MakeCaseSheets makes one sheet a case for discussion in a study club. An
// unknown case is an error. version is the program's own.
func MakeCaseSheets(ds *casebook.Dataset, keys []casebook.CaseKey, s results.Settings, version string) (*results.CaseSheets, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	p, err := rows.Prepare(ds, s)
	if err != nil {
		return nil, err
	}
	sheets, err := casesheet.Of(p, keys, orientation.GoesAgainst)
	if err != nil {
		return nil, err
	}
	return &results.CaseSheets{SchemaVersion: results.SchemaVersion, Provenance: provenance(p, version), Cautions: casesheet.Cautions(), Sheets: sheets}, nil
}
