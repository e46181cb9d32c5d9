package room

import (
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
)

var kinds = map[casebook.Axis]chart.Kind{
	casebook.Vertical: chart.Vertical, casebook.Rotation: chart.Rotation, casebook.Tip: chart.Tip, casebook.Torque: chart.Torque,
	casebook.MesiodistalShift: chart.ShiftAlong, casebook.BuccolingualShift: chart.ShiftAcross,
}

// Move is the pictogram of a direction.
func Move(d casebook.Direction) chart.Move {
	sign := -1
	if d == casebook.DirectionOf(d.Axis(), 1) {
		sign = 1
	}
	return chart.Move{Kind: kinds[d.Axis()], Sign: sign}
}

// Key names a datum for who points at it.
func Key(d casebook.Direction) string { return "direction " + d.String() }
