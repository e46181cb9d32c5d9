package casebook

import (
	"math"
	"slices"
)

// Doubt is why an amount cannot be right as it stands: a misplaced decimal, a
// wrong unit, a wrong sign. It asks for a look at the cell and decides nothing.
type Doubt uint8

// The doubts, the plainest first.
const (
	NoDoubt       Doubt = iota
	FarBeyond           // achieved beyond 3 times the plan
	FarAgainst          // achieved against the plan by more than twice its amount
	PlanUnusual         // planned at least ten times what is usual for the tooth
	ResultUnusual       // achieved at least ten times what is usual for the tooth
)

var doubtNames = names{
	"", "achieved more than 3 times the plan", "moved against the plan by more than twice its amount",
	"planned ten times what is usual for this tooth", "achieved ten times what is usual for this tooth",
}

func (d Doubt) String() string { return doubtNames.text(uint8(d)) }

// The limits of doubt: conventions of this program, no source. In 5,855 movements
// of the invented practice none is reached.
const (
	mostBeyond  = 3
	mostAgainst = 2
	unusual     = 10
	leastUsual  = 10 // amounts of a tooth before one of them is called usual
)

// toothAxis is what amounts are usual for: a tooth of either side, along one axis.
type toothAxis struct {
	arch     Arch
	position int
	axis     Axis
}

// Doubts tells of each movement whether its amounts can be right. least is the
// smallest plan of a unit of which a ratio means anything.
func Doubts(ms []*Movement, least func(Unit) float64) []Doubt {
	planned, achieved := map[toothAxis][]float64{}, map[toothAxis][]float64{}
	for _, m := range ms {
		k := usualFor(m)
		if m.Planned != 0 {
			planned[k] = append(planned[k], math.Abs(m.Planned))
		}
		if m.Achieved.OK && m.Achieved.Value != 0 {
			achieved[k] = append(achieved[k], math.Abs(m.Achieved.Value))
		}
	}
	usualPlan, usualResult := medians(planned), medians(achieved)
	out := make([]Doubt, len(ms))
	for i, m := range ms {
		plan, ratio := math.Abs(m.Planned), 0.0
		if m.Achieved.OK && plan >= least(m.Axis.Unit()) {
			ratio = m.Achieved.Value / m.Planned
		}
		most := func(usual map[toothAxis]float64) float64 {
			if u, ok := usual[usualFor(m)]; ok {
				return unusual * u
			}
			return math.Inf(1)
		}
		switch {
		case ratio > mostBeyond:
			out[i] = FarBeyond
		case ratio < -mostAgainst:
			out[i] = FarAgainst
		case plan >= most(usualPlan):
			out[i] = PlanUnusual
		case m.Achieved.OK && math.Abs(m.Achieved.Value) >= most(usualResult):
			out[i] = ResultUnusual
		}
	}
	return out
}

func usualFor(m *Movement) toothAxis { return toothAxis{m.Tooth.Arch(), m.Tooth.Position(), m.Axis} }

// medians of the teeth with enough amounts on record.
func medians(of map[toothAxis][]float64) map[toothAxis]float64 {
	out := map[toothAxis]float64{}
	for k, amounts := range of {
		if len(amounts) >= leastUsual {
			slices.Sort(amounts)
			out[k] = amounts[len(amounts)/2]
		}
	}
	return out
}
