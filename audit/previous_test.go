package audit

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestWelch: R 4.2.2, t.test(extra ~ group, sleep), Student's (1908,
// Biometrika 6:1-25) sleep data as two independent groups: t = -1.8608, df =
// 17.776, p = 0.07939, limits -3.3654832, 0.2054832.
func TestChangeIsWelch(t *testing.T) {
	a := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	b := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	meanA, sdA := measure.MeanSD(a)
	meanB, sdB := measure.MeanSD(b)
	m := measureChange(results.Number(meanA), results.Number(sdA/math.Sqrt(10)), 9, results.Number(meanB), results.Number(sdB/math.Sqrt(10)), 9, 0.95)
	assert.InDelta(t, 1.58, float64(m.Change), 1e-12)
	assert.InDelta(t, -0.2054832, float64(m.Low), 1e-6)
	assert.InDelta(t, 3.3654832, float64(m.High), 1e-6)
	assert.InDelta(t, 0.07939, float64(m.P), 5e-6)
}

func audited(t *testing.T, seed uint64, change func(*sampledata.Params, *results.Settings)) *results.Results {
	t.Helper()
	params, s := sampledata.Default(), results.DefaultSettings()
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
		changed += measure.OneIf(c.Changed)
	}
	assert.LessOrEqual(t, changed, 1, "another draw of the same practice")

	better := audited(t, 23, func(p *sampledata.Params, s *results.Settings) {
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
		if c.By.Direction == casebook.MesialIn && c.By.Course == results.Initial {
			found = true
			assert.True(t, c.Changed)
			assert.InDelta(t, 0.2, float64(c.Change), 0.08)
		}
	}
	assert.True(t, found)
	assert.Contains(t, strings.Join(since.Sentences, " "), "rotation mesial-in")
	assert.Contains(t, since.SettingsChanged[0], "tolerance, degrees: 2, now 3")
	var ids []string
	for _, w := range since.Warnings {
		ids = append(ids, w.ID)
	}
	assert.ElementsMatch(t, []string{"settings-changed", "shared-period"}, ids)

	short := *better
	short.Findings = unknownChange([]results.Finding{{Kind: "short"}, {Kind: "quality"}})
	assert.Contains(t, short.Findings[1].Text, "cannot be said", "nothing was given to compare with")
	AddSince(&short, before)
	require.Len(t, short.Findings, 3)
	assert.Contains(t, short.Findings[1].Text, "Since the audit of")

	AddSince(better, before)
	require.NotNil(t, better.Questions.Since)
	assert.LessOrEqual(t, len(better.Findings), mostFindings)
	require.Len(t, changeFindings(better), 1)
	assert.Contains(t, changeFindings(better)[0].Text, "Since the audit of")
	assert.Contains(t, changeFindings(better)[0].Limits, "not yet an effect")
}

func changeFindings(r *results.Results) (out []results.Finding) {
	for _, f := range r.Findings {
		if f.Kind == "change" {
			out = append(out, f)
		}
	}
	return out
}

// A workbook that grew is another file: the months both audits hold tell that
// they share cases.
func TestSharedPeriodIsSaid(t *testing.T) {
	month := casebook.NewMonth
	a := &results.Results{Scope: results.Scope{Practices: []string{"A"}, First: month(2024, 1), Last: month(2025, 3)}}
	warned := func(practice string, first casebook.Month) []results.Warning {
		b := &results.Results{Scope: results.Scope{Practices: []string{practice}, First: first, Last: month(2026, 1)}}
		return Compare(a, b).Warnings
	}
	require.Len(t, warned("A", month(2024, 6)), 1)
	assert.Contains(t, warned("A", month(2024, 6))[0].Text, "2024-06 to 2025-03")
	assert.Len(t, warned("A", month(2025, 3)), 1)
	assert.Empty(t, warned("A", month(2025, 4)), "the months do not meet")
	assert.Empty(t, warned("B", month(2024, 6)), "another practice")
}

func TestSharedInputIsSaid(t *testing.T) {
	a, b := &results.Results{}, &results.Results{}
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
		`{"schema_version":"3.0","provenance":{"tool":"shortfall"}}`: "schema version 3.0",
		`[1]`: "not a results file",
	} {
		_, err := ParsePrevious("old.json", []byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}
