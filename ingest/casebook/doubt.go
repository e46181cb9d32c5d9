package casebook

import (
	"cmp"
	"math"
	"slices"
)

// Doubt is why an amount can hardly be right as it stands: a misplaced decimal, a
// wrong unit, a wrong sign. It asks for a look at the cell and decides nothing.
type Doubt uint8

// The doubts, the plainest first.
const (
	NoDoubt       Doubt = iota
	FarBeyond           // achieved beyond 3 times the plan
	FarAgainst          // achieved against the plan by more than twice its amount
	PlanUnusual         // planned ten times what is usual for the tooth, or more
	ResultUnusual       // achieved ten times what is usual for the tooth, or more
)

var doubtNames = names{
	"", "achieved is more than 3 times the plan", "achieved is more than 2 times the plan, the other way",
	"planned is ten times what is usual for the tooth, or more", "achieved is ten times what is usual for the tooth, or more",
}

func (d Doubt) String() string { return doubtNames.text(uint8(d)) }

// OfPlan reports a doubt of the planned amount; the others are of the achieved one.
func (d Doubt) OfPlan() bool { return d == PlanUnusual }

// The limits of doubt: our own, set from common practice without a published
// source. No aligner moves a tooth three times as far as it was asked.
const (
	MostBeyond  = 3  // achieved along the plan, in times of the plan
	MostAgainst = 2  // achieved against it, in times of the plan
	MostUsual   = 10 // any amount, in times of what is usual for the tooth
	enoughUsual = 8  // plans that make something usual
)

// usualKey is a movement of a class of tooth, or with NoClass of any tooth.
type usualKey struct {
	axis  Axis
	class ToothClass
}

// Doubts tells of each movement whether its amounts can be right. Usual is the
// median of the plans of its class of tooth along its axis, of all teeth where
// there are few. least is the smallest plan of a unit that means anything.
func Doubts(ms []*Movement, least func(Unit) float64) []Doubt {
	usual := usualPlans(ms, least)
	out := make([]Doubt, len(ms))
	for i, m := range ms {
		out[i] = m.doubt(least(m.Axis.Unit()), MostUsual*cmp.Or(usual[usualKey{m.Axis, m.Tooth.Class()}], usual[usualKey{m.Axis, NoClass}]))
	}
	return out
}

// doubt of one movement; most is ten times what is usual, 0 where nothing is.
func (m *Movement) doubt(least, most float64) Doubt {
	plan := math.Abs(m.Planned)
	along := math.Copysign(m.Achieved.Value, m.Achieved.Value*m.Planned)
	ratio := m.Achieved.OK && plan >= least
	switch {
	case ratio && along > MostBeyond*plan:
		return FarBeyond
	case ratio && along < -MostAgainst*plan:
		return FarAgainst
	case most > 0 && plan >= most:
		return PlanUnusual
	case most > 0 && m.Achieved.OK && math.Abs(m.Achieved.Value) >= most:
		return ResultUnusual
	}
	return NoDoubt
}

func usualPlans(ms []*Movement, least func(Unit) float64) map[usualKey]float64 {
	each := func(f func(k usualKey, size float64)) {
		for _, m := range ms {
			if size := math.Abs(m.Planned); size >= least(m.Axis.Unit()) {
				f(usualKey{m.Axis, NoClass}, size)
				f(usualKey{m.Axis, m.Tooth.Class()}, size)
			}
		}
	}
	count := map[usualKey]int{} // first, so that lists of a million take what they need
	each(func(k usualKey, _ float64) { count[k]++ })
	sizes := map[usualKey][]float64{}
	each(func(k usualKey, size float64) {
		if sizes[k] == nil {
			sizes[k] = make([]float64, 0, count[k])
		}
		sizes[k] = append(sizes[k], size)
	})
	out := map[usualKey]float64{}
	for k, s := range sizes {
		if len(s) >= enoughUsual {
			slices.Sort(s)
			out[k] = (s[(len(s)-1)/2] + s[len(s)/2]) / 2
		}
	}
	return out
}
