package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
)

const bothDirections = "case,course,tooth,extrusion planned,extrusion achieved,intrusion planned,intrusion achieved,style\n"

// A 0 under one direction beside the plan of the other is no movement of its own: it is the same
// axis. Where both say 0 it is one movement, and an amount that was reached without a plan stays.
func TestZeroBesideTheOtherDirection(t *testing.T) {
	b := mustRead(t, bothDirections+"K1,1,43,1.2,0.7,0,0,none\nK1,1,33,0,0,0.8,0.5,none\nK1,1,13,0.0,n/a,\"0,6\",0.4,none\nK1,1,23,0,0,0,0,none\nK1,1,44,0,,0.5,0,none\n", Options{})
	var got []float64
	for _, m := range recordsOf(b).Movements {
		got = append(got, m.Planned)
	}
	assert.Empty(t, b.Rejected)
	assert.Equal(t, []float64{-0.6, 0, -0.8, 1.2, -0.5}, got)
	for name, row := range map[string]string{"moved without a plan": "K1,1,43,0,0.3,0.8,0.5,none", "planned both ways": "K1,1,43,0.4,0.3,0.8,0.5,none"} {
		b := mustRead(t, bothDirections+row+"\nK1,1,33,1.2,0.7,,,none\n", Options{})
		require.Len(t, b.Rejected, 1, name)
		assert.Equal(t, "movement-duplicate", b.Rejected[0].Reasons[0].Rule, name)
	}
}

// Zeros that fill a wide sheet are no outcomes beside which blanks are few: they are asked about.
func TestZerosAreNoOutcomes(t *testing.T) {
	text := "case,course,tooth,rotation planned,rotation achieved,extrusion planned,extrusion achieved,style\n" +
		strings.Repeat("K1,1,%,-8,-6,0,0,none\n", 6) + "K1,1,%,-8,,0,0,none\nK1,1,%,-7,,0,0,none\n"
	for _, tooth := range strings.Fields("13 12 43 42 33 32 23 22") {
		text = strings.Replace(text, "%", tooth, 1)
	}
	mustAsk(t, text, "blank achieved")
	b := mustRead(t, text, Options{Answers: answersOf("positive=usual;blank achieved=not measured")})
	zeros := 0
	for _, m := range b.Movements {
		if m.Value.Axis == Vertical && m.Value.Planned == 0 {
			zeros++
		}
	}
	assert.Equal(t, 8, zeros, "a 0 with its 0 is kept: nothing was planned, and nothing moved")
}
