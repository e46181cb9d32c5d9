package audit

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestWelch: R 4.2.2, t.test(extra ~ group, sleep), Student's (1908,
// Biometrika 6:1-25) sleep data as two independent groups: t = -1.8608, df =
// 17.776, p = 0.07939, limits -3.3654832, 0.2054832.
func TestChangeIsWelch(t *testing.T) {
	a := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	b := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	meanA, sdA := meanSD(a)
	meanB, sdB := meanSD(b)
	m := measureChange(Number(meanA), Number(sdA/math.Sqrt(10)), 9, Number(meanB), Number(sdB/math.Sqrt(10)), 9, 0.95)
	assert.InDelta(t, 1.58, float64(m.Change), 1e-12)
	assert.InDelta(t, -0.2054832, float64(m.Low), 1e-6)
	assert.InDelta(t, 3.3654832, float64(m.High), 1e-6)
	assert.InDelta(t, 0.07939, float64(m.P), 5e-6)
}

func audited(t *testing.T, seed uint64, change func(*sampledata.Params, *Settings)) *Results {
	t.Helper()
	params, s := sampledata.Default(), DefaultSettings()
	if change != nil {
		change(&params, &s)
	}
	ds, _ := sampledata.Generate(params, seed)
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	return r
}

func TestSinceFindsAChange(t *testing.T) {
	before := audited(t, 21, nil)
	same := Compare(before, audited(t, 22, nil))
	require.NotEmpty(t, same.Cells)
	changed := 0
	for _, c := range same.Cells {
		changed += oneIf(c.Changed)
	}
	assert.LessOrEqual(t, changed, 1, "another draw of the same practice")

	better := audited(t, 23, func(p *sampledata.Params, s *Settings) {
		for i := range p.Plans {
			if p.Plans[i].Direction == casebook.MesialIn {
				p.Plans[i].Base += 0.2
			}
		}
		s.ToleranceDeg = 3
	})
	since := Compare(before, better)
	found := false
	for _, c := range since.Cells {
		if c.By.Direction == casebook.MesialIn && c.By.Course == Initial {
			found = true
			assert.True(t, c.Changed)
			assert.InDelta(t, 0.2, float64(c.Change), 0.08)
		}
	}
	assert.True(t, found)
	assert.Contains(t, strings.Join(since.Sentences, " "), "rotation mesial-in")
	assert.Contains(t, since.SettingsChanged[0], "tolerance, degrees: 2, now 3")
	require.NotEmpty(t, since.Warnings)
	assert.Equal(t, "settings-changed", since.Warnings[0].ID)

	AddSince(better, before)
	require.NotNil(t, better.Questions.Since)
	assert.LessOrEqual(t, len(better.Findings), mostFindings)
	assert.Equal(t, "change", better.Findings[len(better.Findings)-1].Kind)
}

func TestSharedInputIsSaid(t *testing.T) {
	a, b := &Results{}, &Results{}
	a.Provenance.Inputs = []casebook.ImportedFile{{File: casebook.File{SHA256: "1"}}}
	b.Provenance.Inputs = []casebook.ImportedFile{{File: casebook.File{SHA256: "2"}}, {File: casebook.File{SHA256: "1"}}}
	s := Compare(a, b)
	require.Len(t, s.Warnings, 1)
	assert.Equal(t, "shared-input", s.Warnings[0].ID)
}

func TestParsePreviousRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":   "old.json: not a results file",
		"{}": "schema version or provenance is missing",
		`{"schema_version":"2.0","provenance":{"tool":"shortfall"}}`: "schema version 2.0",
		`[1]`: "not a results file",
	} {
		_, err := ParsePrevious("old.json", []byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}
