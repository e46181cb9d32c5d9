package mapping

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// Holds is what a column is declared to hold: a field, and of a wide sheet the movement
// it is of.
type Holds struct {
	Field     columns.Field
	Axis      casebook.Axis
	Direction casebook.Direction
}

// ofMovement are the fields that can be declared of one movement: "achieved rotation".
var ofMovement = []columns.Field{columns.Planned, columns.Achieved}

// ParseHolds reads what a column is declared to hold: the name of a field, or planned or
// achieved with an axis or a direction behind it.
func ParseHolds(s string) (Holds, bool) {
	if f, err := columns.ParseField(s); err == nil && f != columns.NoField {
		return Holds{Field: f}, true
	}
	for _, f := range ofMovement {
		if name, ok := strings.CutPrefix(s, f.String()+" "); ok {
			axis, direction := MovementNamed(name)
			return Holds{f, axis, direction}, axis != casebook.NoAxis
		}
	}
	return Holds{}, false
}

// MovementNamed is the axis of a movement by its own name or that of a direction, and the
// direction; NoAxis where it is neither.
func MovementNamed(s string) (casebook.Axis, casebook.Direction) {
	if a, err := casebook.ParseAxis(s); err == nil && a != casebook.NoAxis {
		return a, casebook.NoDirection
	}
	if d, err := casebook.ParseDirection(s); err == nil && d != casebook.NoDirection {
		return d.Axis(), d
	}
	return casebook.NoAxis, casebook.NoDirection
}

// Holds gives what a column is declared to hold, by its header or its letter; ignore is
// true where it is to stay unread.
func (s *Sheet) Holds(header, letter string) (h Holds, ignore, declared bool) {
	if s == nil {
		return h, false, false
	}
	for _, name := range []string{"(" + letter + ")", header} {
		if v, ok := s.Columns[name]; ok {
			h, _ = ParseHolds(v)
			return h, v == Ignore, true
		}
	}
	return h, false, false
}

// Field is Holds without the movement.
func (s *Sheet) Field(header, letter string) (f columns.Field, ignore, declared bool) {
	h, ignore, declared := s.Holds(header, letter)
	return h.Field, ignore, declared
}
