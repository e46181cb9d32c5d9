package between

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// referencePatients are the invented movements of testdata/between.csv.
func referencePatients(t *testing.T, change func(m *casebook.Movement, start *casebook.Month)) *rows.Set {
	t.Helper()
	var b audittest.Build
	logged := map[string]bool{}
	for _, l := range audittest.ReadTable(t, "between.csv") {
		id := "case " + l["case"]
		start := casebook.NewMonth(2023, 1) + casebook.Month(audittest.Num(t, l["start"]))
		style := audittest.Soft
		if l["clin"] == "1" {
			style = audittest.Clin
		}
		m := b.Add(id, 1, casebook.Tooth(audittest.Num(t, l["tooth"])), casebook.Rotation, audittest.Num(t, l["planned"]), audittest.Num(t, l["achieved"]), style)
		if change != nil {
			change(m, &start)
		}
		if !logged[id] {
			logged[id] = true
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Clinician: l["clinician"], Start: start, Status: casebook.Completed})
		}
	}
	return b.Prepare(t, results.DefaultSettings())
}

func allRows(p *rows.Set) (which []int32) {
	for i := range p.Analysed {
		which = append(which, int32(i))
	}
	return which
}

// TestBetweenPatientsAgainstR: R 4.2.2, clubSandwich 0.5.8 and splines::ns
// (audit/testdata/between.R): the model with start month as a restricted cubic
// spline, and overlap weighting with its balance.
func TestBetweenPatientsAgainstR(t *testing.T) {
	p := referencePatients(t, nil)
	which := allRows(p)
	fit := FitGroups(p, which, &Grouping{Group: styleTreated})
	require.Nil(t, fit.Failed)
	assert.Empty(t, fit.left)
	assert.Equal(t, []string{"planned amount", "planned amount squared", "start month", "clinician", "tooth class", "tooth within class", "arch"}, fit.adjusters)
	near := func(want [5]float64, d results.Difference) {
		t.Helper()
		for i, got := range []results.Number{d.Difference, d.SE, d.DF, d.Low, d.High} {
			assert.InEpsilon(t, want[i], float64(got), 1e-6, "number %d", i)
		}
	}
	near([5]float64{0.077448074451, 0.022790968983, 56.423801287, 0.031799843563, 0.123096305340}, fit.adjusted)
	weights, err := weightsOf(p, results.By{}, which, styleTreated)
	require.NoError(t, err)
	e, err := overlapWeighted(p, which, styleTreated, weights)
	require.NoError(t, err)
	for i, want := range []float64{0.077075500092, 0.024035395519, 61.503712212, 0.029021715816, 0.125129284369} {
		assert.InEpsilon(t, want, []float64{e.Value, e.SE, e.DF, e.Low, e.High}[i], 1e-6, "number %d", i)
	}
	of := map[string]results.Balance{}
	for _, b := range balance(p, which, styleTreated, weights) {
		of[b.Covariate] = b
	}
	assert.InDelta(t, 0, float64(of["planned amount"].After), 1e-9, "balanced by the score equations")
	assert.Greater(t, math.Abs(float64(of["planned amount"].SMD)), 0.1)
	assert.InDelta(t, 0, float64(of["clinician K2"].After), 1e-9)
	assert.InEpsilon(t, 0.000675222577, float64(of["started 2023 Q1"].After), 1e-5)
}

// TestStyleByQuarterAndClinician: both stand in the balance table; one quarter alone
// is no row.
func TestStyleByQuarterAndClinician(t *testing.T) {
	p := referencePatients(t, nil)
	var quarters, clinicians int
	for _, b := range balance(p, allRows(p), styleTreated, nil) {
		quarters += measure.OneIf(len(b.Covariate) == len("started 2023 Q1") && b.Covariate[:7] == "started")
		clinicians += measure.OneIf(len(b.Covariate) == len("clinician K1") && b.Covariate[:9] == "clinician")
		assert.False(t, b.After.OK())
	}
	assert.Equal(t, 12, quarters)
	assert.Equal(t, 3, clinicians)
	one := referencePatients(t, func(_ *casebook.Movement, start *casebook.Month) { *start = casebook.NewMonth(2024, 2) })
	for _, b := range balance(one, allRows(one), styleTreated, nil) {
		assert.NotContains(t, b.Covariate, "started")
	}
}

// TestOverlapWeightsNeedOverlap: plans that tell the styles apart have no weights.
func TestOverlapWeightsNeedOverlap(t *testing.T) {
	p := referencePatients(t, func(m *casebook.Movement, _ *casebook.Month) {
		if m.Style == audittest.Clin {
			m.Planned += 100
		}
	})
	weights, err := weightsOf(p, results.By{}, allRows(p), styleTreated)
	assert.Nil(t, weights)
	require.ErrorContains(t, err, "tell the arms apart")
}
