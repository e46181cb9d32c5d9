package mapping

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// The words for vertical amounts that are positive one way in space, whatever the jaw.
const (
	Up   = "up"
	Down = "down"
)

// Upward is Up or Down where the file writes vertical amounts so, else "".
func (f *File) Upward() string {
	if f == nil {
		return ""
	}
	if w := f.Positive[casebook.Vertical.String()]; w == Up || w == Down {
		return w
	}
	return ""
}

// PositiveOf gives the direction that the file writes as positive along an
// axis, none where that depends on the jaw; declared is false where the mapping says nothing.
func (f *File) PositiveOf(a casebook.Axis) (d casebook.Direction, declared bool, err error) {
	if f == nil {
		return casebook.NoDirection, false, nil
	}
	if a == casebook.Vertical && f.Upward() != "" {
		return casebook.NoDirection, true, nil
	}
	name, ok := f.Positive[a.String()]
	if !ok {
		return casebook.NoDirection, false, nil
	}
	if d, err = casebook.ParseDirection(name); err == nil && d.Axis() != a {
		err = fmt.Errorf("%s is no direction of %s", d, a)
	}
	return d, true, err
}
