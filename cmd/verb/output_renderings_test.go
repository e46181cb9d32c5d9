package verb_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/cmd/output"
)

// The name of a person is not written into the name of a report, nor printed.
func TestReportIsNotNamedAfterAPerson(t *testing.T) {
	dir := filepath.Join("a", "b")
	assert.Equal(t, dir+"/", filepath.ToSlash(output.NameBeside(filepath.Join(dir, "Harriet Thornton.xlsx"))))
	assert.Equal(t, "a/b/cases-", filepath.ToSlash(output.NameBeside(filepath.Join(dir, "cases.XLSX"))))
}
