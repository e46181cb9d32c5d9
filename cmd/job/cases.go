package job

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/columns"
	"shortfall/ingest/privacy"
)

// ScreenSheets refuses codes that look like identifiers: they may have been let
// in with --allow-identifiers, and a page is made to be passed on. The code is
// not repeated.
func ScreenSheets(s *results.CaseSheets) error {
	for i, sheet := range s.Sheets {
		for _, c := range []struct {
			field columns.Field
			code  string
		}{{columns.Case, sheet.ID}, {columns.Practice, sheet.Practice}, {columns.Clinician, sheet.Clinician}} {
			if rule := privacy.CellRule(privacy.Cell{Text: c.code}, c.field, false); rule != "" {
				return fmt.Errorf(
					"the %s code of case %d of this command looks like an identifier [%s], so nothing was written; give it another code with \"shortfall pseudonymise\" and import it again",
					c.field, i+1, rule)
			}
		}
	}
	return nil
}
