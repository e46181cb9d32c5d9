package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/ask/orientation"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

func TestFeatureTable(t *testing.T) {
	rules, source, err := declare.ParseFitTable("fit.toml", []byte(declare.FitTableExample))
	require.NoError(t, err)
	assert.ElementsMatch(t, results.DefaultFitTable(), rules, "the example is the default")
	assert.Equal(t, "common practice, no source", source)
	own := append(rules, results.FitRule{Direction: casebook.Intrusion, Orientation: casebook.ObliqueFace})
	r := func(d casebook.Direction, o casebook.Orientation) *rows.Row {
		return &rows.Row{Movement: &casebook.Movement{Orientation: o}, Axis: d.Axis(), Direction: d}
	}
	assert.False(t, orientation.GoesAgainst(r(casebook.Extrusion, casebook.HorizontalFace), own))
	assert.True(t, orientation.GoesAgainst(r(casebook.Extrusion, casebook.VerticalFace), own))
	assert.True(t, orientation.GoesAgainst(r(casebook.Intrusion, casebook.HorizontalFace), own), "the direction's rule goes before its axis's")
	assert.False(t, orientation.GoesAgainst(r(casebook.TorqueBuccal, casebook.VerticalFace), own), "no rule, no judgement")
	assert.False(t, orientation.GoesAgainst(r(casebook.Extrusion, casebook.NoOrientation), own), "not recorded is not against")
	for text, want := range map[string]string{
		"version = 1\n[[rule]]\naxis = \"rotation\"\norientaton = \"vertical\"": `fit.toml, line 4: unknown key "rule.orientaton"`,
		"version = 1\n[[rule]]\norientation = \"vertical\"":                     "exactly one of axis and direction",
		"version = 1\n[[rule]]\naxis = \"rotation\"":                            "needs an orientation",
		"version = 2": "this program reads version = 1",
		"version = 1": "no rule",
		"version = 1\n[[rule]]\naxis = \"rotatio\"\norientation = \"vertical\"": "line 3",
	} {
		_, _, err := declare.ParseFitTable("fit.toml", []byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}
