package casebook

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestDoubts puts each limit to either side.
func TestDoubts(t *testing.T) {
	at := func(planned, achieved float64) *Movement {
		return &Movement{Tooth: 13, Axis: Rotation, Planned: planned, Achieved: Some(achieved)}
	}
	usual := make([]*Movement, 0, 22)
	for range 21 {
		usual = append(usual, at(10, 6))
	}
	for _, x := range []struct {
		m    *Movement
		want Doubt
	}{
		{at(10, 30), NoDoubt},
		{at(10, 30.1), FarBeyond},
		{at(-10, -30.1), FarBeyond},
		{at(10, -20), NoDoubt},
		{at(10, -20.1), FarAgainst},
		{at(-10, 20.1), FarAgainst},
		{at(1, 9), NoDoubt}, // a plan too small for a ratio
		{at(99, 59), NoDoubt},
		{at(100, 59), PlanUnusual},
		{at(99, 100), ResultUnusual},
		{&Movement{Tooth: 43, Axis: Rotation, Planned: 100}, PlanUnusual},                         // like teeth, no outcome
		{&Movement{Tooth: 11, Axis: Rotation, Planned: 100}, PlanUnusual},                         // usual for any tooth
		{&Movement{Tooth: 13, Axis: Torque, Planned: 100, Achieved: Some(90.0)}, NoDoubt},         // nothing usual on record
		{&Movement{Tooth: 13, Axis: Rotation, Planned: 0, Achieved: Some(-100.0)}, ResultUnusual}, // nothing planned
	} {
		got := Doubts(append(usual[:21:21], x.m), func(Unit) float64 { return 2 })
		assert.Equal(t, x.want, got[21], "%v of %v", x.m.Achieved, x.m.Planned)
		assert.Equal(t, NoDoubt, got[0])
	}
}

// TestUsualIsThatOfTheClass: incisors are turned further than molars here, so a plan that is
// usual for the one is beyond ten times what is usual for the other.
func TestUsualIsThatOfTheClass(t *testing.T) {
	var of []*Movement
	for i := range 30 {
		m := &Movement{Tooth: 16, Axis: Rotation, Planned: 3}
		if i%3 == 0 {
			m = &Movement{Tooth: 11, Axis: Rotation, Planned: 12}
		}
		of = append(of, m)
	}
	got := Doubts(append(of, &Movement{Tooth: 11, Axis: Rotation, Planned: 40}, &Movement{Tooth: 16, Axis: Rotation, Planned: 40}), func(Unit) float64 { return 2 })
	assert.Equal(t, []Doubt{NoDoubt, PlanUnusual}, got[30:])
}

// TestSmallest: any place of lists with many alike is that of the sorted list.
func TestSmallest(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 3))
	for n := 1; n <= 40; n++ {
		s := make([]float64, n)
		for i := range s {
			s[i] = float64(rng.IntN(1 + n/2))
		}
		sorted := slices.Sorted(slices.Values(s))
		for k := range n {
			assert.InDelta(t, sorted[k], smallest(s, k), 0)
		}
	}
}
