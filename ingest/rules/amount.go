package rules

import (
	"math"

	"shortfall/ingest/casebook"
)

// Limits of amounts in one course, in the unit of the axis. Own limits, set
// from common practice without a published source: above unlikely an amount is
// worth a look, above impossible it is no tooth movement.
var Unlikely = map[casebook.Axis]float64{
	casebook.Vertical: 6, casebook.MesiodistalShift: 10, casebook.BuccolingualShift: 8,
	casebook.Rotation: 60, casebook.Tip: 40, casebook.Torque: 40,
}

const (
	impossibleMM  = 25
	impossibleDeg = 180
)

// Judge gives AmountImpossible, AmountUnlikely or "" for an amount.
func Judge(a casebook.Axis, v float64) ID {
	size := math.Abs(v)
	most := float64(impossibleMM)
	if a.Unit() == casebook.Degree {
		most = impossibleDeg
	}
	switch {
	case size > most:
		return AmountImpossible
	case size > Unlikely[a]:
		return AmountUnlikely
	}
	return ""
}
