package targets

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A line whose first field was forgotten is asked about and kept as it was typed; one whose
// first field was cleared is taken away; an untouched one is none.
func TestNoLineIsLost(t *testing.T) {
	for _, c := range []struct {
		name, why string
		typed     url.Values
		lines     int
	}{
		{"untouched", "", url.Values{"criterion 0 name": {""}, "criterion 0 measure": {"expression"}, "criterion 0 was": {""}}, 0},
		{"no name", "target 1, name: is empty", url.Values{"criterion 0 name": {""}, "criterion 0 value": {"65 %"}, "criterion 0 was": {""}}, 1},
		{"name cleared", "", url.Values{"criterion 0 name": {""}, "criterion 0 value": {"65 %"}, "criterion 0 was": {"Extrusion"}}, 0},
		{"a number that is none", "target 2, value: a number", url.Values{"criterion 0 name": {"a"}, "criterion 1 name": {"b"}, "criterion 1 value": {"lots"}}, 2},
		{"an owner without an action", "action 1, what: is empty", url.Values{"action 0 what": {""}, "action 0 owner": {"K1"}}, 1},
		{"no direction", "the comparison asked beforehand, direction: is empty", url.Values{"primary direction": {""}, "primary declared": {"2026-01"}}, 1},
		{"direction cleared", "", url.Values{"primary direction": {""}, "primary declared": {"2026-01"}, "primary was": {"extrusion"}}, 0},
	} {
		got, err := Of(c.typed)
		lines := len(got.Criteria) + len(got.ActionsOf)
		if got.Primary != nil {
			lines++
		}
		assert.Equal(t, c.lines, lines, c.name)
		if c.why == "" {
			require.NoError(t, err, c.name)
			continue
		}
		assert.ErrorContains(t, err, c.why, c.name)
	}
}
