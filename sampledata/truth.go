package sampledata

import (
	"math"
	"slices"

	"shortfall/ingest/casebook"
)

// Truth is what the records were made from.
type Truth struct {
	Note   string `json:"note"`
	Seed   uint64 `json:"seed"`
	Params Params `json:"params"`
	// StyleDifference is clinician-designed minus software-suggested in
	// expression, by direction: what an adjusted comparison estimates, in every
	// tooth class and course.
	StyleDifference []StyleTruth `json:"style_difference"`
	// Given holds the expected ratio of sums of the initial courses, given these
	// very plans and covariates: sum |P| mean / sum |P| over the movements whose
	// outcome was recorded and whose plan is not below the smallest. Only the
	// random effects and the scan errors are averaged out.
	Given []CellTruth `json:"given_these_plans"`
	// Mean is the expected expression of each movement of the dataset, in its
	// order, without random effects; 0 where nothing was planned.
	Mean []float64 `json:"-"`
}

// StyleTruth is the true effect of one direction.
type StyleTruth struct {
	Direction  casebook.Direction `json:"direction"`
	Difference float64            `json:"difference"`
}

// CellTruth is the true expression of one cell; zero fields are margins.
type CellTruth struct {
	Direction casebook.Direction  `json:"direction"`
	Class     casebook.ToothClass `json:"tooth_class,omitzero"`
	Style     casebook.Style      `json:"style,omitzero"`
	Movements int                 `json:"movements"`
	Ratio     float64             `json:"ratio"`
}

// Smallest plans that count in the truth's cells: 0.2 mm and 2 degrees.
const (
	SmallestMM  = 0.2
	SmallestDeg = 2
)

func newTruth(p Params, seed uint64, ds *casebook.Dataset, means []float64) Truth {
	t := Truth{
		Note: "Invented data. The parameters of an invented practice; no real case is behind them.",
		Seed: seed, Params: p, Mean: means,
	}
	for _, d := range casebook.Directions() {
		t.StyleDifference = append(t.StyleDifference, StyleTruth{d, p.StyleEffect[d]})
	}
	t.Given = t.cells(ds)
	return t
}

// Ratio is the expected ratio of sums over the movements that keep chooses
// among those with an outcome and a plan that counts; n says how many. It is
// exact for movements of initial courses. Plans of a refinement depend on the
// random effects of the course before, which Mean leaves out: use Population
// there.
func (t Truth) Ratio(ds *casebook.Dataset, keep func(casebook.Movement) bool) (ratio float64, n int) {
	var expected, planned float64
	for i, m := range ds.Movements {
		if Counts(m) && keep(m) {
			size := math.Abs(m.Planned)
			expected += size * t.Mean[i]
			planned += size
			n++
		}
	}
	return expected / planned, n
}

// Counts reports whether a movement enters a ratio: measured, and planned at
// or above the smallest amount.
func Counts(m casebook.Movement) bool {
	smallest := SmallestMM
	if m.Axis.Unit() == casebook.Degree {
		smallest = SmallestDeg
	}
	return m.Achieved.OK && math.Abs(m.Planned) >= smallest
}

// Population is the ratio of sums, measured over planned, that a practice of
// these parameters tends to as it grows: the truth for the interval of a cell,
// of any course, whose plans are seen as drawn too. It generates a practice of
// the given number of cases; with 20000 the error is below 0.005 for cells met
// in one case of ten.
func Population(p Params, cases int, keep func(casebook.Movement) bool) float64 {
	p.Cases = cases
	ds, _ := Generate(p, DefaultSeed)
	return Measured(ds, keep)
}

// Measured is the observed ratio of sums over the movements that keep chooses
// and Counts admits.
func Measured(ds *casebook.Dataset, keep func(casebook.Movement) bool) float64 {
	var achieved, planned float64
	for _, m := range ds.Movements {
		if Counts(m) && keep(m) {
			achieved += m.Achieved.Value * m.Direction().Sign()
			planned += math.Abs(m.Planned)
		}
	}
	return achieved / planned
}

// cells lists direction, direction x class, direction x style and direction x
// class x style of the initial courses, in that order within a direction.
func (t Truth) cells(ds *casebook.Dataset) []CellTruth {
	type sums struct {
		expected, planned float64
		n                 int
	}
	cells := map[CellTruth]*sums{}
	for i, m := range ds.Movements {
		if m.Course != 1 || !Counts(m) {
			continue
		}
		size := math.Abs(m.Planned)
		for _, key := range []CellTruth{
			{Direction: m.Direction()},
			{Direction: m.Direction(), Class: m.Tooth.Class()},
			{Direction: m.Direction(), Style: m.Style},
			{Direction: m.Direction(), Class: m.Tooth.Class(), Style: m.Style},
		} {
			s := cells[key]
			if s == nil {
				s = &sums{}
				cells[key] = s
			}
			s.expected, s.planned, s.n = s.expected+size*t.Mean[i], s.planned+size, s.n+1
		}
	}
	out := make([]CellTruth, 0, len(cells))
	for key, s := range cells {
		key.Movements, key.Ratio = s.n, s.expected/s.planned
		out = append(out, key)
	}
	slices.SortFunc(out, func(a, b CellTruth) int { return a.order() - b.order() })
	return out
}

func (c CellTruth) order() int { return int(c.Direction)*100 + int(c.Class)*10 + int(c.Style) }
