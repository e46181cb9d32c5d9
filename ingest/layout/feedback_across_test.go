package layout_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
)

// A workbook with a sheet for each case says a thing once, not once a sheet.
func TestFindingsAcrossSheets(t *testing.T) {
	var ps []casebook.Problem
	add := func(rule string, s casebook.Severity, sheet, cell, column, message string) {
		ps = append(ps, casebook.Problem{Rule: rule, Severity: s, Sheet: sheet, Cell: cell, Column: column, Message: message})
	}
	for i := range 6 {
		sheet := fmt.Sprint("K", i+1)
		add("course-assumed", casebook.Warning, sheet, "", "", "no column")
		add("column-assumed", casebook.Info, sheet, "B3", "Movement", "read as axis")
		add("number-as-text", casebook.Info, sheet, fmt.Sprint("D", i+1), "Planned", fmt.Sprint(i, " numbers"))
		if i < 3 {
			add("tooth-unknown", casebook.Error, sheet, "A5", "Tooth", "unknown")
		}
		add("style-unknown", casebook.Error, sheet, fmt.Sprint("F", i+1), "Style", "unknown")
	}
	findings := feedback.Across(feedback.Groups(ps))
	var lines []string
	total := 0
	for _, f := range findings {
		lines = append(lines, f.Rule+" "+f.Place()+": "+f.Message)
		total += f.Count
	}
	assert.Equal(t, []string{
		`style-unknown 6 sheets (K1: F1; K2: F2; K3: F3 and 3 more), column "Style": unknown`,
		`tooth-unknown sheet K1, column "Tooth", A5: unknown`,
		`tooth-unknown sheet K2, column "Tooth", A5: unknown`,
		`tooth-unknown sheet K3, column "Tooth", A5: unknown`,
		`course-assumed 6 sheets (K1, K2, K3 and 3 more): no column`,
		`column-assumed 6 sheets (K1, K2, K3 and 3 more), column "Movement", B3: read as axis`,
		`number-as-text 6 sheets (K1: D1; K2: D2; K3: D3 and 3 more), column "Planned": numbers are stored as text`,
	}, lines)
	assert.Equal(t, len(ps), total)
	require.Empty(t, feedback.Across(nil))
}
