package layout

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// Its length is that of the table of headers.
func TestHeaders(t *testing.T) {
	for text, want := range map[string]Header{
		"case":                    {Field: columns.Case, Canonical: true},
		"Case ID":                 {Field: columns.Case},
		"change interval (days)":  {Field: columns.ChangeDays, Canonical: true},
		"Change_Interval":         {Field: columns.ChangeDays, Canonical: true},
		"planned (mm)":            {Field: columns.Planned, Canonical: true, Unit: casebook.Millimetre},
		"Planned [°]":             {Field: columns.Planned, Canonical: true, Unit: casebook.Degree},
		"achieved in mm":          {Field: columns.Achieved, Canonical: true, Unit: casebook.Millimetre},
		"13 rotation planned":     {Field: columns.Planned, Tooth: "13", Axis: casebook.Rotation},
		"achieved torque UR3":     {Field: columns.Achieved, Tooth: "UR3", Axis: casebook.Torque},
		"rotation (planned)":      {Field: columns.Planned, Axis: casebook.Rotation},
		"intrusion plan (mm)":     {Field: columns.Planned, Axis: casebook.Vertical, Direction: casebook.Intrusion, Unit: casebook.Millimetre},
		"#6 extrusion actual":     {Field: columns.Achieved, Tooth: "6", Axis: casebook.Vertical, Direction: casebook.Extrusion},
		"R1 rotation planned":     {Field: columns.Planned, Axis: casebook.Rotation, Course: 2},
		"tooth 13 style":          {Field: columns.Style, Tooth: "13"},
		"achieved (%)":            {Field: columns.StatedPercent},
		"achieved %":              {Field: columns.StatedPercent},
		"% achieved":              {Field: columns.StatedPercent},
		"percent achieved":        {Field: columns.StatedPercent},
		"percentage of actual":    {Field: columns.StatedPercent},
		"rotation % achieved":     {Field: columns.StatedPercent, Axis: casebook.Rotation},
		"13 rotation achieved %":  {Field: columns.StatedPercent, Tooth: "13", Axis: casebook.Rotation},
		"planned (%)":             {},
		"accuracy %":              {Field: columns.StatedPercent},
		"ext planned":             {Field: columns.Planned, Axis: casebook.Vertical, Direction: casebook.Extrusion},
		"int ach":                 {Field: columns.Achieved, Axis: casebook.Vertical, Direction: casebook.Intrusion},
		"Rotation (deg) Planned":  {Field: columns.Planned, Axis: casebook.Rotation, Unit: casebook.Degree},
		"Extrusion mm achieved":   {Field: columns.Achieved, Axis: casebook.Vertical, Direction: casebook.Extrusion, Unit: casebook.Millimetre},
		"Rotation ° planned":      {Field: columns.Planned, Axis: casebook.Rotation, Unit: casebook.Degree},
		"rotation (mm) wobble":    {},
		"refinements":             {Field: columns.Refinements, Canonical: true},
		"course aligners used":    {Field: columns.AlignersUsed},
		"rotation":                {},
		"13":                      {},
		"notes":                   {},
		"planned by the software": {},
		"Soll [mm]":               {Field: columns.Planned, Unit: casebook.Millimetre},
		"Prévu (mm/°)":            {Field: columns.Planned},
		"Tooth (FDI)":             {Field: columns.Tooth, Notation: casebook.FDI},
		"Zahn-Nr. (Universal)":    {Field: columns.Tooth, Notation: casebook.Universal},
		"Rx movement":             {Field: columns.Planned},
		"Mvt":                     {Field: columns.Axis},
		"Pt ID":                   {Field: columns.Case},
		"Rotación prevista (°)":   {Field: columns.Planned, Axis: casebook.Rotation, Unit: casebook.Degree},
		"Obtenu rotation":         {Field: columns.Achieved, Axis: casebook.Rotation},
		"Refinement #":            {Field: columns.Course},
		"Nachbehandlung":          {Field: columns.Course},
		"Nabehandeling":           {Field: columns.Course},
		"nach Behandlung":         {Field: columns.EndPosition},
		"1st wobble planned":      {Field: columns.Planned, Weak: true},
		"":                        {},
	} {
		got := parse(text, casebook.MovementKind)
		got.Alt, got.AfterRefinement = columns.NoField, false
		if got.Field == columns.NoField {
			got = Header{}
		}
		assert.Equal(t, want, got, "%q", text)
	}
	assert.Equal(t, columns.CourseStart, parse("start month", casebook.CourseKind).Field)
	assert.Equal(t, columns.EndMonth, parse("Debond", casebook.CaseKind).Field, "attachments come off at the end")
	assert.Equal(t, columns.Lost, parse("Debond", casebook.MovementKind).Field)
	assert.Equal(t, columns.Residual, parse("short by mm", casebook.MovementKind).Field, "what was left, and no achieved amount")
	assert.Equal(t, columns.StartMonth, parse("start month", casebook.MovementKind).Field, "on a flat sheet it is the case's")
}

// TestHeadersAreReadInOneOrder: what is remembered of a header is what every reading of
// it gives.
func TestHeadersAreReadInOneOrder(t *testing.T) {
	for _, k := range casebook.Kinds() {
		for _, d := range columns.Of(k) {
			for _, text := range append([]string{d.Header}, d.Synonyms...) {
				h := headerText{text, k}
				first := h.parse()
				for range 5 {
					assert.Equal(t, first, h.parse(), text)
				}
				assert.Equal(t, first, parse(text, k), text)
			}
		}
	}
}
