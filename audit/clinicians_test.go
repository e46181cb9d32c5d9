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
	ds := invented(3, 40)
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
	clinician, anyCase := regexp.MustCompile(`K[1-4]`), regexp.MustCompile(ds.Cases[0].ID[:3]+`[0-9]+`)
	found := func(code *regexp.Regexp, in string) string {
		if at := code.FindStringIndex(in); at != nil {
			return in[max(0, at[0]-40):min(len(in), at[1]+40)]
		}
		return ""
	}
	assert.Empty(t, found(clinician, audited(false)))
	with := audited(true)
	assert.Empty(t, found(anyCase, with), "nor any case")
	assert.NotEmpty(t, found(clinician, with))
	s := results.DefaultSettings()
	s.Shared, s.Period.Clinician = true, "K2"
	require.ErrorContains(t, s.Check(), "one clinician")
	s.WithClinicians = true
	require.NoError(t, s.Check())
}
