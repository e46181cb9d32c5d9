package report

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/audit"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/sampledata"
)

// TestEverySheetThatIsNamedIsThere: where a table says that all its rows are on a
// sheet of the workbook, the workbook has that sheet.
func TestEverySheetThatIsNamedIsThere(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 4)
	s := results.DefaultSettings()
	var err error
	s.Questions.Criteria, err = declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	r, err := audit.Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, Workbook(&b, r))
	f, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	defer f.Close()
	sheets, named := f.GetSheetList(), 0
	for _, x := range r.Sections {
		for _, e := range x.Exhibits {
			if e.Sheet != "" {
				named++
				assert.Contains(t, sheets, e.Sheet, e.ID)
			}
		}
	}
	assert.Greater(t, named, 10)
}
