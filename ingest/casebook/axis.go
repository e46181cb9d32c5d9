package casebook

// Unit of a movement. Millimetres and degrees never share a mean or an axis.
type Unit uint8

// The two units.
const (
	NoUnit Unit = iota
	Millimetre
	Degree
	endUnit
)

var unitNames = names{"", "mm", "deg"}

func (u Unit) String() string { return unitNames.text(uint8(u)) }

// Symbol is the unit as printed after a number: "mm" or "°".
func (u Unit) Symbol() string {
	switch u {
	case Millimetre:
		return "mm"
	case Degree:
		return "°"
	}
	return ""
}

// MarshalText writes "mm" or "deg".
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads "mm" or "deg".
func (u *Unit) UnmarshalText(b []byte) error {
	i, err := unitNames.index("unit", string(b))
	*u = Unit(i)
	return err
}

// Axis along which a tooth is planned to move.
type Axis uint8

// The six axes; the sign convention is in the package comment.
const (
	NoAxis Axis = iota
	Vertical
	Rotation
	Tip
	Torque
	MesiodistalShift
	BuccolingualShift
	endAxis
)

var axisNames = names{
	"", "vertical", "rotation", "mesiodistal tip", "buccolingual torque",
	"mesiodistal shift", "buccolingual shift",
}

// Axes lists the six axes in print order.
func Axes() []Axis { return all[Axis](axisNames) }

// ParseAxis reads the full name of an axis.
func ParseAxis(s string) (Axis, error) {
	i, err := axisNames.index("axis", s)
	return Axis(i), err
}

func (a Axis) String() string { return axisNames.text(uint8(a)) }

// MarshalText writes the full name of the axis.
func (a Axis) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads the full name of the axis.
func (a *Axis) UnmarshalText(b []byte) (err error) {
	*a, err = ParseAxis(string(b))
	return err
}

// Unit of the axis: millimetres for displacements, degrees for angles.
func (a Axis) Unit() Unit {
	switch a {
	case Vertical, MesiodistalShift, BuccolingualShift:
		return Millimetre
	case Rotation, Tip, Torque:
		return Degree
	}
	return NoUnit
}

// Direction is an axis with a sign: the clinical name of a movement.
type Direction uint8

// The twelve directions, positive before negative, in axis order.
const (
	NoDirection Direction = iota
	Extrusion
	Intrusion
	MesialIn
	MesialOut
	TipMesial
	TipDistal
	TorqueBuccal
	TorqueLingual
	ShiftMesial
	ShiftDistal
	ShiftBuccal
	ShiftLingual
	endDirection
)

var directionNames = names{
	"", "extrusion", "intrusion", "rotation mesial-in", "rotation mesial-out",
	"tip mesial", "tip distal", "torque buccal", "torque lingual",
	"shift mesial", "shift distal", "shift buccal", "shift lingual",
}

// Directions lists the twelve directions in print order.
func Directions() []Direction { return all[Direction](directionNames) }

// ParseDirection reads the name of a direction.
func ParseDirection(s string) (Direction, error) {
	i, err := directionNames.index("direction", s)
	return Direction(i), err
}

func (d Direction) String() string { return directionNames.text(uint8(d)) }

// MarshalText writes the name of the direction.
func (d Direction) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the name of the direction.
func (d *Direction) UnmarshalText(b []byte) (err error) {
	*d, err = ParseDirection(string(b))
	return err
}

// Axis of the direction.
func (d Direction) Axis() Axis {
	if d == NoDirection {
		return NoAxis
	}
	return Axis((d + 1) / 2)
}

// Sign of the direction: +1 or -1, 0 for NoDirection.
func (d Direction) Sign() float64 {
	switch {
	case d == NoDirection:
		return 0
	case d%2 == 1:
		return 1
	}
	return -1
}

// DirectionOf gives the direction of a signed amount along an axis; an amount
// of exactly zero has no direction.
func DirectionOf(a Axis, amount float64) Direction {
	switch {
	case a == NoAxis || amount == 0:
		return NoDirection
	case amount > 0:
		return Direction(2*a - 1)
	}
	return Direction(2 * a)
}
