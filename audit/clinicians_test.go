package audit_test

import (
	"encoding/json"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
)

// What leaves the practice tells no clinician, neither with their share nor as the
// owner of an action, unless that is asked for.
func TestSharedResultsTellNoClinician(t *testing.T) {
	ds := invented(3, 60)
	audited := func(with bool) string {
		r := mustRun(t, ds, func(s *results.Settings) {
			s.Shared, s.WithClinicians = true, with
			s.Questions.Criteria = &results.Criteria{ActionsOf: []results.Action{{What: "look again", Owner: "K2"}}}
			s.Questions.FunnelMinUnits, s.Questions.FunnelMinCases = 2, 5
		})
		b, err := json.Marshal(r)
		require.NoError(t, err)
		return string(b)
	}
	code := regexp.MustCompile(`.{0,40}K[1-4].{0,40}`)
	assert.Empty(t, code.FindString(audited(false)))
	assert.Empty(t, regexp.MustCompile(`.{0,40}`+ds.Cases[0].ID[:3]+`[0-9]+.{0,40}`).FindString(audited(true)), "nor any case")
	assert.NotEmpty(t, code.FindString(audited(true)))
	s := results.DefaultSettings()
	s.Shared, s.Period.Clinician = true, "K2"
	require.ErrorContains(t, s.Check(), "one clinician")
	s.WithClinicians = true
	require.NoError(t, s.Check())
}
