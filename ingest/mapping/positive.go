package mapping

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// PositiveOf gives the direction that the file writes as positive along an
// axis; declared is false where the mapping says nothing.
func (f *File) PositiveOf(a casebook.Axis) (d casebook.Direction, declared bool, err error) {
	if f == nil {
		return casebook.NoDirection, false, nil
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
