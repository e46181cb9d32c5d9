package casebook

import (
	"cmp"
	"math"
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

// Doubts tells of each movement whether its amounts can be right. Usual is the
// median of the plans of its class of tooth along its axis, of all teeth where
// there are few. least is the smallest plan of a unit that means anything.
func Doubts(ms []*Movement, least func(Unit) float64) []Doubt {
	usual := usualPlans(ms, least)
	out := make([]Doubt, len(ms))
	for i, m := range ms {
		of := &usual[m.Axis]
		out[i] = m.doubt(least(m.Axis.Unit()), MostUsual*cmp.Or(of[m.Tooth.Class()], of[NoClass]))
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

// byTooth is something by axis and class of tooth, or with NoClass of any tooth.
type byTooth[T any] [AxisCount + 1][ToothClassCount + 1]T

// usualPlans are 0 where few are on record.
func usualPlans(ms []*Movement, least func(Unit) float64) (out byTooth[float64]) {
	each := func(f func(axis Axis, class ToothClass, size float64)) {
		for _, m := range ms {
			if size := math.Abs(m.Planned); size >= least(m.Axis.Unit()) {
				f(m.Axis, NoClass, size)
				f(m.Axis, m.Tooth.Class(), size)
			}
		}
	}
	var count byTooth[int] // first, so that lists of a million take what they need
	each(func(axis Axis, class ToothClass, _ float64) { count[axis][class]++ })
	var sizes byTooth[[]float64]
	each(func(axis Axis, class ToothClass, size float64) {
		of := &sizes[axis][class]
		if *of == nil {
			*of = make([]float64, 0, count[axis][class])
		}
		*of = append(*of, size)
	})
	for axis := range sizes {
		for class, s := range sizes[axis] {
			if len(s) >= enoughUsual {
				out[axis][class] = (smallest(s, (len(s)-1)/2) + smallest(s, len(s)/2)) / 2
			}
		}
	}
	return out
}

// smallest is the k-th smallest number of s, counted from 0, by parting s about a number in
// the middle (Hoare 1961, Commun ACM 4:321); s is put in another order.
func smallest(s []float64, k int) float64 {
	low, high := 0, len(s)-1
	for low < high {
		pivot := s[low+(high-low)/2]
		i, j := low, high
		for i <= j {
			for s[i] < pivot {
				i++
			}
			for s[j] > pivot {
				j--
			}
			if i <= j {
				s[i], s[j] = s[j], s[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return s[k]
		}
	}
	return s[k]
}
