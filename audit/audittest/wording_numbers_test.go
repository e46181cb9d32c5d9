package audittest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

func TestP(t *testing.T) {
	// Two figures, floor 0.001 (Lang & Altman, SAMPL guidelines, 2013).
	for _, c := range []struct {
		p    results.Number
		want string
	}{
		{0.5, "0.50"},
		{0.0996, "0.10"},
		{0.0951, "0.095"},
		{0.0505, "0.051"}, // beside a level of 0.05 this is not 0.050
		{0.0504, "0.0504"},
		{0.0496, "0.0496"},
		{0.05001, "0.05001"},
		{0.05, "0.050"},
		{0.012, "0.012"},
		{0.00999, "0.010"},
		{0.0042, "0.0042"},
		{0.001, "0.0010"},
		{0.00099, "<\u00a00.001"},
		{0, "<\u00a00.001"},
		{1, ">\u00a00.99"},
		{0.985, "0.99"},
		{results.NotEstimable, "–"},
	} {
		assert.Equal(t, c.want, wording.P(c.p), "%v", c.p)
	}
}

func TestShare(t *testing.T) {
	for _, c := range []struct {
		n, of int
		want  string
	}{
		{1, 3, "33\u00a0%"},
		{2, 3, "67\u00a0%"},
		{99, 99, "100\u00a0%"},
		{998, 1000, "99.8\u00a0%"},
		{1, 1000, "0.1\u00a0%"},
		{1, 100000, "0.1\u00a0%"},
		{99999, 100000, "99.9\u00a0%"},
		{0, 1000, "0\u00a0%"},
		{1000, 1000, "100\u00a0%"},
		{0, 0, "–"},
		{1, 99, "1\u00a0%"},
	} {
		assert.Equal(t, c.want, wording.Share(c.n, c.of), "%d of %d", c.n, c.of)
	}
}

func TestAmounts(t *testing.T) {
	mm, deg := casebook.Millimetre, casebook.Degree
	assert.Equal(t, "0.4\u00a0mm", wording.Amount(0.44, mm))
	assert.Equal(t, "12°", wording.Amount(12.4, deg))
	assert.Equal(t, "−0.3\u00a0mm", wording.Amount(-0.26, mm))
	assert.Equal(t, "0.0\u00a0mm", wording.Amount(-0.04, mm), "no negative zero")
	assert.Equal(t, "0.08\u00a0mm", wording.Fine(0.08, mm))
	assert.Equal(t, "1.3°", wording.Fine(1.28, deg))
	assert.Equal(t, "–", wording.Amount(results.NotEstimable, mm))
	assert.Equal(t, "0.01 (−0.03 to 0.05)\u00a0mm", wording.FineInterval(0.01, -0.03, 0.05, mm))
}

func TestRatiosAndPoints(t *testing.T) {
	assert.Equal(t, "52\u00a0%", wording.Percent(0.523))
	assert.Equal(t, "44 to 60", wording.Limits(0.44, 0.6))
	assert.Equal(t, "–", wording.Limits(0.44, results.Number(math.Inf(1))))
	assert.Equal(t, "+12", wording.Points(0.12))
	assert.Equal(t, "−2 to +14", wording.PointLimits(-0.02, 0.14))
	assert.Equal(t, "0", wording.Points(0.001), "no sign on a rounded zero")
}

func TestSettings(t *testing.T) {
	for v, want := range map[float64]string{0.5: "0.5", 2: "2", 0.05: "0.05", 0.0125: "0.0125", 0.3 * 3: "0.9", 10: "10"} {
		assert.Equal(t, want, wording.Setting(v))
	}
}

func TestCounts(t *testing.T) {
	assert.Equal(t, "999", wording.Count(999))
	assert.Equal(t, "1\u2009000", wording.Count(1000))
	assert.Equal(t, "1\u2009234\u2009567", wording.Count(1234567))
	assert.Equal(t, "1\u00a0case", wording.Of(1, "case"))
	assert.Equal(t, "0\u00a0cases", wording.Of(0, "case"))
	assert.Equal(t, "2\u00a0teeth", wording.Of(2, "tooth"))
	for of, want := range map[int][3]string{
		1: {"none of 1\u00a0direction", "the one\u00a0direction", "the one\u00a0direction"},
		3: {"none of 3\u00a0directions", "1 of 3\u00a0directions", "any of 3\u00a0directions"},
	} {
		assert.Equal(t, want, [3]string{wording.SomeOf(0, of, "direction"), wording.SomeOf(1, of, "direction"), wording.AnyOf(of, "direction")})
	}
}

func TestNames(t *testing.T) {
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Canine, Arch: casebook.Upper, Course: results.Initial}
	assert.Equal(t, "upper canines, rotation mesial-in, first sets", wording.Names{}.Cell(by))
	assert.Equal(t, "tooth\u00a011, vertical", wording.Names{Notation: casebook.FDI}.Cell(results.By{Axis: casebook.Vertical, Tooth: 11}))
	assert.Equal(t, "tooth\u00a08", wording.Place(results.By{Tooth: 11}, casebook.Universal))
	assert.Equal(t, "lower arch", wording.Place(results.By{Arch: casebook.Lower}, casebook.FDI))
	assert.Equal(t, "Σ. Record it.", wording.Warning(results.Warning{Text: "σ", Remedy: "record it."}))
	assert.Equal(t, "2025 Q1 to 2026 Q2", wording.Period(results.Scope{First: casebook.NewMonth(2025, 1), Last: casebook.NewMonth(2026, 6)}))
	assert.Equal(t, "period not recorded", wording.Period(results.Scope{}))
	assert.Equal(t, "practices A, B", wording.Practices([]string{"A", "B"}))
	assert.Equal(t, "95\u00a0%", wording.Level(0.95))
	assert.Equal(t, "99.9\u00a0%", wording.Level(0.999))
}

// Halves go away from zero in every function that writes a number, as they do on
// paper: 57 of 200 is 28.5 and so 29 %; the plain binary value would give 28.
func TestHalvesRoundAwayFromZero(t *testing.T) {
	assert.Equal(t, "0.13", wording.Fixed(.125, 2))
	assert.Equal(t, "−3", wording.Fixed(-2.5, 0))
	assert.Equal(t, "29", wording.Whole(results.Number(57)/200))
	assert.Equal(t, "29\u00a0%", wording.Share(57, 200))
	assert.Equal(t, "29\u00a0%", wording.Percent(results.Number(57)/200))
	assert.Equal(t, "2.68", wording.Fixed(results.Number(2.675), 2))
	assert.Equal(t, "+1", wording.SignedDecimal(.5, 0))
	assert.Equal(t, "1 point", wording.InPoints(.5))
	assert.Equal(t, "0.15", wording.P(.145))
}

// A direction that no sheet gave is not named.
func TestMovementOfSizes(t *testing.T) {
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn}
	assert.Equal(t, "rotation mesial-in", wording.Names{}.Movement(by))
	sizes := wording.Names{Unstated: []results.Unstated{{Direction: casebook.MesialIn, Alone: true}, {Direction: casebook.Extrusion}}}
	assert.Equal(t, "rotation", sizes.Movement(by))
	assert.Equal(t, "all teeth, rotation", sizes.Cell(by))
	assert.Equal(t, "extrusion or unstated", sizes.Direction(casebook.Extrusion))
	assert.Equal(t, "intrusion", sizes.Direction(casebook.Intrusion))
	assert.Equal(t, "all movements", sizes.Movement(results.By{}))
}

func TestMedianOfAHandfulHasNoQuartiles(t *testing.T) {
	c := &results.Cell{Movements: 3, MedianRatio: 0.57, LowerQuartile: 0.38, UpperQuartile: 0.69}
	assert.Equal(t, "57", wording.Middle(c))
	c.Movements = 4
	assert.Equal(t, "57 (38 to 69)", wording.Middle(c))
	c.LowerQuartile = results.NotEstimable
	assert.Equal(t, "57", wording.Middle(c))
}
