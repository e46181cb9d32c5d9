package job

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// One of something is said as one.
func TestUnderstoodOfOne(t *testing.T) {
	one := casebook.Record[casebook.Movement]{Value: casebook.Movement{Tooth: 13, Course: 1, Axis: casebook.Rotation, Planned: 5}}
	u := Understood(&casebook.Batch{Movements: []casebook.Record[casebook.Movement]{one}})
	assert.Equal(t, "1 movement: initial 1", u.Movements)
}
