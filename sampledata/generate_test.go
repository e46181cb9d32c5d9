package sampledata_test

import (
	"math"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a third of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

func TestSameSeedSamePractice(t *testing.T) {
	a, truthA := sampledata.Generate(sampledata.Default(), 7)
	b, truthB := sampledata.Generate(sampledata.Default(), 7)
	assert.Equal(t, a, b)
	assert.Equal(t, truthA, truthB)
	c, _ := sampledata.Generate(sampledata.Default(), 8)
	assert.NotEqual(t, a.Movements, c.Movements)
}

func TestPracticeIsAsPromised(t *testing.T) {
	p := sampledata.Default()
	ds, truth := sampledata.Generate(p, sampledata.DefaultSeed)
	assert.True(t, ds.Invented)
	assert.GreaterOrEqual(t, len(ds.Cases), 120)
	assert.Len(t, truth.Mean, len(ds.Movements))

	clinicians, months, statuses := map[string]int{}, map[casebook.Month]int{}, map[casebook.Status]int{}
	refinements := map[int]int{}
	for _, c := range ds.Cases {
		clinicians[c.Clinician]++
		months[c.Start]++
		statuses[c.Status]++
		refinements[c.StatedRefinements.Value]++
	}
	assert.Len(t, clinicians, 4)
	assert.Len(t, months, 18)
	for _, s := range casebook.Statuses() {
		assert.Positive(t, statuses[s], "no case is %s", s)
	}
	for n := range 4 {
		assert.Positive(t, refinements[n], "no case has %d refinements", n)
	}
	var missing, lost, unplanned, blankStaging int
	styles := map[casebook.Style]int{}
	for _, m := range ds.Movements {
		styles[m.Style]++
		missing += count(!m.Achieved.OK)
		lost += count(m.Lost.Value)
		unplanned += count(m.Planned == 0)
		blankStaging += count(m.Staging == casebook.NoStaging)
	}
	assert.Zero(t, styles[casebook.NoStyle])
	for _, s := range casebook.Styles() {
		assert.Greater(t, styles[s], 500, "%s", s)
	}
	for name, n := range map[string]int{
		"missing outcomes": missing, "lost features": lost, "unplanned movements": unplanned,
		"unrecorded staging": blankStaging, "repeats": len(ds.Repeats),
	} {
		assert.GreaterOrEqual(t, n, 25, name)
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestRecordsHangTogether checks keys, references and the order of time.
func TestRecordsHangTogether(t *testing.T) {
	p := sampledata.Default()
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	cases, courses := map[casebook.CaseKey]casebook.Case{}, map[casebook.CourseKey]casebook.Course{}
	perCase := map[casebook.CaseKey]int{}
	for _, c := range ds.Cases {
		cases[c.Key()] = c
		if c.Status == casebook.UnderTreatment {
			assert.Zero(t, c.End)
		} else {
			assert.Greater(t, c.End, c.Start)
			assert.LessOrEqual(t, c.End, p.Freeze)
		}
	}
	for _, c := range ds.Courses {
		courses[c.Key()] = c
		perCase[c.Case]++
		require.Equal(t, perCase[c.Case], c.Number, "courses are numbered without a gap")
		if c.Number > 1 {
			assert.Greater(t, c.Start, courses[casebook.CourseKey{Case: c.Case, Number: c.Number - 1}].Start)
		}
		assert.LessOrEqual(t, c.AlignersUsed.Value, c.AlignersPlanned.Value)
	}
	for id, n := range perCase {
		assert.Equal(t, n-1, cases[id].StatedRefinements.Value)
	}
	movements := map[casebook.MovementKey]casebook.Movement{}
	type bonded struct {
		casebook.CourseKey
		casebook.Tooth
	}
	features := map[bonded]casebook.Movement{}
	for _, m := range ds.Movements {
		movements[m.Key()] = m
		_, known := courses[casebook.CourseKey{Case: m.Case, Number: m.Course}]
		require.True(t, known, "%+v", m.Key())
		assert.Equal(t, m.Style == casebook.StyleNone, m.Shape == casebook.NoShape)
		assert.Equal(t, m.Style == casebook.StyleNone, m.Orientation == casebook.NoOrientation)
		assert.Equal(t, m.Style == casebook.StyleNone, !m.Lost.OK)
		key := bonded{casebook.CourseKey{Case: m.Case, Number: m.Course}, m.Tooth}
		if f, seen := features[key]; seen {
			assert.Equal(t, [...]any{f.Style, f.Shape, f.Orientation, f.Lost}, [...]any{m.Style, m.Shape, m.Orientation, m.Lost},
				"one tooth carries one feature")
		}
		features[key] = m
	}
	assert.Len(t, cases, len(ds.Cases), "no case twice")
	assert.Len(t, courses, len(ds.Courses), "no course twice")
	assert.Len(t, movements, len(ds.Movements), "no movement twice")
	for _, r := range ds.Repeats {
		require.Equal(t, casebook.Some(r.First), movements[r.Key()].Achieved)
	}
}

// TestRefinementPlansTheResidual holds for every movement planned again after
// a course whose outcome is on record.
func TestRefinementPlansTheResidual(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	movements := map[casebook.MovementKey]casebook.Movement{}
	again := 0
	for _, m := range ds.Movements {
		movements[m.Key()] = m
		if m.Course == 1 {
			continue
		}
		before := m.Key()
		before.Course--
		last, ok := movements[before]
		require.True(t, ok, "a refinement plans only what was planned before")
		if last.Achieved.OK {
			again++
			require.InDelta(t, last.Planned-last.Achieved.Value, m.Planned, 0.051)
		}
	}
	assert.Greater(t, again, 500)
}

func TestRepeatsShowTheMethodError(t *testing.T) {
	p := sampledata.Default()
	p.Repeats = 1 << 20 // all of them
	ds, _ := sampledata.Generate(p, 3)
	squares, n := map[casebook.Unit]float64{}, map[casebook.Unit]float64{}
	for _, r := range ds.Repeats {
		squares[r.Axis.Unit()] += (r.First - r.Second) * (r.First - r.Second)
		n[r.Axis.Unit()]++
	}
	// Dahlberg's error sqrt(sum d^2 / 2n): Houston, Am J Orthod 1983;83:382-390.
	assert.InEpsilon(t, p.NoiseMM, math.Sqrt(squares[casebook.Millimetre]/2/n[casebook.Millimetre]), 0.05)
	assert.InEpsilon(t, p.NoiseDeg, math.Sqrt(squares[casebook.Degree]/2/n[casebook.Degree]), 0.05)
}

// BenchmarkGenerate makes one practice of 160 cases; a simulation of 200
// practices needs 200 of these.
func BenchmarkGenerate(b *testing.B) {
	for seed := uint64(0); b.Loop(); seed++ {
		sampledata.Generate(sampledata.Default(), seed)
	}
}
