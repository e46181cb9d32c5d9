package address

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestTheListBehindAToothIsOfItsNumber: where a tooth shows the number of its kind, or of
// all teeth, the movements behind it are those.
func TestTheListBehindAToothIsOfItsNumber(t *testing.T) {
	tooth, err := casebook.ToothFromFDI(11)
	assert.NoError(t, err)
	first := results.Initial
	for name, c := range map[string]struct {
		arch  results.FrontArch
		tooth results.FrontTooth
		want  results.By
	}{
		"its own":   {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{}, results.By{Axis: casebook.Rotation, Tooth: tooth, Course: first}},
		"of a jaw":  {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{OfKind: true}, results.By{Axis: casebook.Rotation, ToothClass: casebook.Incisor, Arch: tooth.Arch(), Course: first}},
		"alike":     {results.FrontArch{Axis: casebook.Rotation}, results.FrontTooth{Alike: true}, results.By{Axis: casebook.Rotation, Course: first}},
		"of a kind": {results.FrontArch{Axis: casebook.Rotation, Direction: casebook.MesialIn}, results.FrontTooth{OfKind: true}, results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Incisor, Course: first}},
		"all teeth": {results.FrontArch{Axis: casebook.Rotation, Direction: casebook.MesialIn}, results.FrontTooth{OfKind: true, Alike: true}, results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: first}},
	} {
		c.tooth.Tooth = tooth
		c.arch.Teeth = []results.FrontTooth{c.tooth}
		r := &results.Results{Front: results.Front{Arches: results.FrontArches{Axes: []results.FrontArch{{Axis: casebook.Torque}, c.arch}}}}
		of := c.arch.Axis.String()
		if c.arch.Direction != casebook.NoDirection {
			of = c.arch.Direction.String()
		}
		what, q := Behind(r, "arches", "tooth "+of+" "+tooth.String())
		assert.Equal(t, "behind", what, name)
		by, err := Cell(q)
		assert.NoError(t, err, name)
		assert.Equal(t, c.want, by, name)
	}
	what, _ := Behind(&results.Results{}, "arches", "tooth rotation 11")
	assert.Empty(t, what)
}

// TestOfTwoFaultsTheFirstIsTold: the same address gets the same answer every time.
func TestOfTwoFaultsTheFirstIsTold(t *testing.T) {
	for range 30 {
		_, err := Settings(url.Values{"from": {"May"}, "to": {"June"}})
		assert.ErrorContains(t, err, "“from”")
	}
	s, err := Settings(url.Values{"to": {"2026-07"}, "tolerance-mm": {"0,4"}, "tolerance-deg": {"3"}})
	assert.NoError(t, err)
	assert.Equal(t, []float64{0.4, 3}, []float64{s.ToleranceMM, s.ToleranceDeg})
	assert.Zero(t, s.Period.From)
	assert.Equal(t, "2026-07", s.Period.To.String())
	_, err = Settings(url.Values{"tolerance-deg": {"NaN"}})
	assert.ErrorContains(t, err, "tolerance")
}
