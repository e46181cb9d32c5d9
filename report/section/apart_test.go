package section_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/section"
	"shortfall/sampledata"
)

// A case log that does not fit the movements is told on the first page of every form.
func TestListThatDoesNotFitIsOnPageOne(t *testing.T) {
	p := sampledata.Default()
	p.Cases = 20
	ds, _ := sampledata.Generate(p, 4)
	for i := range ds.Cases {
		ds.Cases[i].ID = fmt.Sprintf("P-%d", i)
	}
	r, err := audit.Run(t.Context(), ds, results.DefaultSettings(), "test")
	require.NoError(t, err)
	for _, pages := range []section.Pages{section.One, section.Short, section.Full} {
		d, err := section.Document(r, pages)
		require.NoError(t, err)
		require.NotEmpty(t, d.Sections)
		assert.Contains(t, fmt.Sprintf("%+v", d.Sections[0]), "do not fit together")
	}
}
