package sampledata_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// manyCases is enough for the errors allowed below; more with SHORTFALL_LONG.
func manyCases() int {
	if os.Getenv("SHORTFALL_LONG") == "" {
		return 3000
	}
	return 8000
}

func initial(d casebook.Direction, class casebook.ToothClass, s casebook.Style) func(casebook.Movement) bool {
	return func(m casebook.Movement) bool {
		return m.Course == 1 && m.Direction() == d && (class == 0 || m.Tooth.Class() == class) && (s == 0 || m.Style == s)
	}
}

// TestMeasuredTendsToTheTruth: in a large practice the observed ratio of sums
// of initial courses is the expected one.
func TestMeasuredTendsToTheTruth(t *testing.T) {
	p := sampledata.Default()
	p.Cases = manyCases()
	ds, truth := sampledata.Generate(p, 11)
	cells := 0
	for _, c := range truth.Given {
		if c.Movements < 2000 {
			continue
		}
		cells++
		keep := initial(c.Direction, c.Class, c.Style)
		assert.InDelta(t, c.Ratio, sampledata.Measured(ds, keep), 0.015, "%+v", c)
		ratio, n := truth.Ratio(ds, keep)
		assert.InDelta(t, c.Ratio, ratio, 1e-9)
		assert.Equal(t, c.Movements, n)
	}
	assert.Greater(t, cells, manyCases()/200)
}

// TestConfounding: with confounding the plain difference of styles is wrong,
// without it the plain difference is the true effect.
func TestConfounding(t *testing.T) {
	confounded, plain := sampledata.Default(), sampledata.Default()
	confounded.Cases, plain.Cases, plain.Confounding = manyCases(), manyCases(), 0
	difference := func(ds *casebook.Dataset, d casebook.Direction) float64 {
		return sampledata.Measured(ds, initial(d, casebook.Incisor, casebook.ClinicianDesigned)) -
			sampledata.Measured(ds, initial(d, casebook.Incisor, casebook.SoftwareSuggested))
	}
	with, _ := sampledata.Generate(confounded, 5)
	without, _ := sampledata.Generate(plain, 5)
	for _, d := range []casebook.Direction{casebook.Extrusion, casebook.Intrusion, casebook.MesialIn} {
		want := confounded.StyleEffect[d]
		assert.InDelta(t, want, difference(without, d), 0.015, "%s without confounding", d)
		assert.Greater(t, difference(with, d), want+0.02, "%s with confounding", d)
	}
}

func TestEffectsSwitchOff(t *testing.T) {
	p := sampledata.Default()
	p.StyleEffect, p.NoneEffect, p.WearEffect = nil, nil, nil
	p.SlopePerMM, p.SlopePerDegree, p.AgePerBand, p.StagingEffect, p.LostEffect, p.Refinement = 0, 0, 0, 0, 0, 0
	p.Clinicians = []sampledata.ClinicianPlan{{Code: "K1"}}
	ds, truth := sampledata.Generate(p, 1)
	base := map[[2]uint8]float64{}
	for _, plan := range p.Plans {
		base[[2]uint8{uint8(plan.Direction), uint8(plan.Class)}] = plan.Base
	}
	for i, m := range ds.Movements {
		if m.Planned != 0 {
			assert.InDelta(t, base[[2]uint8{uint8(m.Direction()), uint8(m.Tooth.Class())}], truth.Mean[i], 1e-12)
		}
	}
	for _, s := range truth.StyleDifference {
		assert.Zero(t, s.Difference)
	}
}

// TestRegressionToTheMean: with no case effect and one expression for all, a
// movement that fell far short by chance does as well as any other next time.
func TestRegressionToTheMean(t *testing.T) {
	p := sampledata.Default()
	p.Cases, p.CaseSD, p.MovementSD = manyCases()/2, 0, 0.2
	p.StyleEffect, p.NoneEffect, p.WearEffect = nil, nil, nil
	p.SlopePerMM, p.SlopePerDegree, p.AgePerBand, p.StagingEffect, p.LostEffect, p.Refinement = 0, 0, 0, 0, 0, 0
	p.NoiseMM, p.NoiseDeg = 0.01, 0.1
	for i := range p.Plans {
		p.Plans[i].Base = 0.5
	}
	ds, _ := sampledata.Generate(p, 2)
	first := map[casebook.MovementKey]float64{}
	var before, after, n float64
	for _, m := range ds.Movements {
		if !sampledata.Counts(m) {
			continue
		}
		ratio := m.Achieved.Value / m.Planned
		switch key := m.Key(); m.Course {
		case 1:
			first[key] = ratio
		case 2:
			key.Course = 1
			if r, ok := first[key]; ok && r < 0.3 {
				before, after, n = before+r, after+ratio, n+1
			}
		}
	}
	assert.Greater(t, n, 400.0)
	assert.Less(t, before/n, 0.25)
	assert.InDelta(t, 0.5, after/n, 0.02)
}

func TestPopulationOfRefinements(t *testing.T) {
	p := sampledata.Default()
	keep := func(m casebook.Movement) bool { return m.Course > 1 && m.Direction() == casebook.Extrusion }
	a := sampledata.Population(p, manyCases()/2, keep)
	b := sampledata.Population(p, manyCases(), keep)
	assert.InDelta(t, a, b, 0.02)
	assert.NotEqual(t, a, b)
}

func TestCounts(t *testing.T) {
	for _, c := range []struct {
		axis     casebook.Axis
		planned  float64
		achieved casebook.Opt[float64]
		want     bool
	}{
		{casebook.Vertical, 0.2, casebook.Some(0.0), true},
		{casebook.Vertical, -0.2, casebook.Some(0.1), true},
		{casebook.Vertical, 0.19, casebook.Some(0.1), false},
		{casebook.Rotation, 2, casebook.Some(1.0), true},
		{casebook.Rotation, -1.9, casebook.Some(1.0), false},
		{casebook.Rotation, 20, casebook.Opt[float64]{}, false},
	} {
		assert.Equal(t, c.want, sampledata.Counts(casebook.Movement{Axis: c.axis, Planned: c.planned, Achieved: c.achieved}), "%+v", c)
	}
}
