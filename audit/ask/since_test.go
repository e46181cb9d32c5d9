package ask_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/since"
	"shortfall/audit/audittest"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestChangeIsWelch: R 4.2.2, t.test(extra ~ group, sleep), Student's (1908,
// Biometrika 6:1-25) sleep data as two independent groups: t = -1.8608, df =
// 17.776, p = 0.07939, limits -3.3654832, 0.2054832.
func TestChangeIsWelch(t *testing.T) {
	a := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0}
	b := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	meanA, sdA := measure.MeanSD(a)
	meanB, sdB := measure.MeanSD(b)
	m := since.MeasureChange(results.Number(meanA), results.Number(sdA/math.Sqrt(10)), 9, results.Number(meanB), results.Number(sdB/math.Sqrt(10)), 9, 0.95)
	assert.InDelta(t, 1.58, float64(m.Change), 1e-12)
	assert.InDelta(t, -0.2054832, float64(m.Low), 1e-6)
	assert.InDelta(t, 3.3654832, float64(m.High), 1e-6)
	assert.InDelta(t, 0.07939, float64(m.P), 5e-6)
}

// half is a practice of which an earlier audit saw one file, up to a month.
type half struct {
	ds    *casebook.Dataset
	given map[casebook.MovementKey]bool
	last  casebook.Month
}

func sincePractice(t *testing.T, seed uint64, better float64) half {
	t.Helper()
	params := sampledata.Default()
	ds, _ := sampledata.Generate(params, seed)
	h := half{ds, map[casebook.MovementKey]bool{}, params.FirstStart + 20}
	ds.Files = []casebook.ImportedFile{{File: casebook.File{Name: "one.xlsx", SHA256: "1"}}, {File: casebook.File{Name: "two.xlsx", SHA256: "2"}}}
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	for i, m := range p.Order {
		if end := p.CourseEnd(p.ClusterOf[i], m.Course); end != 0 && end <= h.last {
			h.given[m.Key()] = true
		}
	}
	for i := range ds.Movements {
		if m := &ds.Movements[i]; !h.given[m.Key()] {
			m.Achieved.Value += better * m.Planned
		}
	}
	return h
}

// earlier is the audit that saw the first file.
func (h half) earlier(files ...string) *since.Earlier {
	r := &results.Results{SchemaVersion: results.SchemaVersion}
	r.Provenance.Settings, r.Provenance.Date = results.DefaultSettings(), h.last.String()
	for _, f := range files {
		r.Provenance.Inputs = append(r.Provenance.Inputs, casebook.ImportedFile{File: casebook.File{SHA256: f}})
	}
	r.Scope = results.Scope{Practices: []string{h.ds.Cases[0].Practice}, First: h.last - 20, Last: h.last, Cases: 60}
	return &since.Earlier{Results: r, Given: h.given}
}

func (h half) answer(t *testing.T, e *since.Earlier) *results.Since {
	t.Helper()
	p, err := rows.Prepare(h.ds, results.DefaultSettings())
	require.NoError(t, err)
	now := &results.Results{Provenance: results.Provenance{Settings: p.Settings}, Scope: e.Results.Scope}
	now.Scope.Last += 12
	return since.Answer(p, now, e)
}

// TestNewRecordsAreToldByFiles: what the earlier files gave against the rest, a case with
// movements in both counted once in each and said; nothing that did not change is called.
func TestNewRecordsAreToldByFiles(t *testing.T) {
	called, n := 0, audittest.Everyday(12, 4)
	for seed := range uint64(n) {
		h := sincePractice(t, 40+seed, 0)
		s := h.answer(t, h.earlier("1"))
		require.Equal(t, results.ToldByFiles, s.Told)
		assert.Equal(t, [2]int{1, 1}, [2]int{s.EarlierFiles, s.FilesHere})
		for _, c := range s.Records.Cells {
			if c.Changed {
				called++
				break
			}
		}
	}
	assert.LessOrEqual(t, called, audittest.Everyday(2, 1), "of %d practices without change", n)

	h := sincePractice(t, 40, 0.25)
	s := h.answer(t, h.earlier("1", "elsewhere"))
	found := 0
	for _, c := range s.Records.Cells {
		found += measure.OneIf(c.Changed && c.Change > 0)
	}
	assert.Greater(t, found, 3)
	var before, now [2]map[casebook.CaseKey]bool // by hand
	for i := range before {
		before[i], now[i] = map[casebook.CaseKey]bool{}, map[casebook.CaseKey]bool{}
	}
	p, err := rows.Prepare(h.ds, results.DefaultSettings())
	require.NoError(t, err)
	for i := range p.Analysed {
		m := p.Analysed[i].Movement
		if h.given[m.Key()] {
			before[0][m.Case] = true
		} else {
			now[0][m.Case] = true
		}
	}
	both := 0
	for k := range before[0] {
		both += measure.OneIf(now[0][k])
	}
	assert.Positive(t, both)
	assert.Equal(t, both, s.Records.SharedCases)
	assert.Contains(t, strings.Join(s.Sentences, " "), "have movements in both parts")
	require.NotEmpty(t, s.Warnings)
	assert.Equal(t, "files-not-here", s.Warnings[0].ID)
}

// TestNewRecordsAreToldByMonths: a workbook that grew is another file; what ended later
// is new.
func TestNewRecordsAreToldByMonths(t *testing.T) {
	h := sincePractice(t, 41, 0.25)
	byFiles, byMonths := h.answer(t, h.earlier("1")), h.answer(t, h.earlier("an older version"))
	require.Equal(t, results.ToldByMonths, byMonths.Told)
	before := byFiles.Records.Before.Movements // less what took as long as the records are old
	assert.True(t, byMonths.Records.Before.Movements <= before && byMonths.Records.Before.Movements > before*99/100)
	assert.Greater(t, byMonths.Records.Now.Cases, 20)
	assert.Equal(t, h.last+1, byMonths.Records.Now.From)
	require.NotNil(t, byMonths.Records.Refined)
}

// TestOtherwiseSavedNumbersAreCompared as of independent cases, and that is said.
func TestOtherwiseSavedNumbersAreCompared(t *testing.T) {
	h := sincePractice(t, 42, 0)
	e := h.earlier("elsewhere")
	e.Results.Scope.Practices = []string{"ANOTHER"}
	p, err := rows.Prepare(h.ds, results.DefaultSettings())
	require.NoError(t, err)
	cells, err := grid.Expression(t.Context(), p)
	require.NoError(t, err)
	e.Results.Expression = cells
	now := &results.Results{Provenance: results.Provenance{Settings: p.Settings}, Scope: results.Scope{Practices: []string{"P"}, Cases: 70, Movements: 900}, Expression: cells}
	s := since.Answer(p, now, e)
	assert.Equal(t, results.NotTold, s.Told)
	require.NotEmpty(t, s.Records.Cells)
	for _, c := range s.Records.Cells {
		assert.Zero(t, float64(c.Change))
		assert.False(t, c.Changed)
	}
	assert.Equal(t, "cases-in-both-unknown", s.Warnings[0].ID)
}

// TestNothingNew is said, and not called no change.
func TestNothingNew(t *testing.T) {
	h := sincePractice(t, 43, 0)
	for _, m := range h.ds.Movements {
		h.given[m.Key()] = true
	}
	s := h.answer(t, h.earlier("1", "2"))
	assert.Equal(t, "No measured movement is new since then.", s.Sentences[0])
	assert.Empty(t, s.Records.Cells)
}

// TestSchemaOne: a results file of the program as it was at schema 1 (of the invented
// sample, cut to what is compared and two comparisons) is read without its verdicts.
func TestSchemaOne(t *testing.T) {
	data, err := os.ReadFile("testdata/schema-1.json")
	require.NoError(t, err)
	r, err := since.Parse("schema-1.json", data)
	require.NoError(t, err)
	assert.Len(t, r.Expression, 24)
	assert.Empty(t, r.Comparisons)
	assert.Equal(t, 153, r.Scope.Cases)
	h := sincePractice(t, 44, 0)
	s := h.answer(t, &since.Earlier{Results: r, Given: map[casebook.MovementKey]bool{}})
	assert.Equal(t, "older-schema", s.Warnings[len(s.Warnings)-1].ID)
	assert.Empty(t, s.Verdicts)
}

func TestParseRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":   "old.json: not a results file",
		"{}": "schema version or provenance is missing",
		`{"schema_version":"3.0","provenance":{"tool":"shortfall"}}`:                "schema version 3.0",
		`{"schema_version":"1.0","provenance":{"tool":"shortfall"},"expression":3}`: "not a results file",
		`[1]`: "not a results file",
	} {
		_, err := since.Parse("old.json", []byte(text))
		assert.ErrorContains(t, err, want, text)
		assert.Regexp(t, "; give the --json output|: make them anew", err.Error(), "%s: a remedy", text)
	}
}

func TestOnlyChangedVerdictsAreListed(t *testing.T) {
	at := func(v results.Verdict, c results.Verdict) *results.Results {
		return &results.Results{Comparisons: []results.Comparison{
			{By: results.By{Direction: casebook.Extrusion}, Verdict: v}, {By: results.By{Direction: casebook.Intrusion}, Verdict: c},
		}}
	}
	s := &results.Since{}
	since.CompareVerdicts(s, at(results.Higher, results.Lower), at(results.NotDistinguishable, results.Lower))
	require.Len(t, s.Verdicts, 1)
	assert.Equal(t, results.VerdictChange{By: results.By{Direction: casebook.Extrusion}, Before: results.Higher, After: results.NotDistinguishable}, s.Verdicts[0])
}

// TestSharedPeriod: the months and the practice tell that two audits may share cases.
func TestSharedPeriod(t *testing.T) {
	month := casebook.NewMonth
	a := &results.Scope{Practices: []string{"A"}, First: month(2024, 1), Last: month(2025, 3)}
	shared := func(practice string, first casebook.Month) bool {
		return since.SharedPeriod(a, &results.Scope{Practices: []string{practice}, First: first, Last: month(2026, 1)})
	}
	assert.True(t, shared("A", month(2024, 6)))
	assert.True(t, shared("A", month(2025, 3)))
	assert.False(t, shared("A", month(2025, 4)), "the months do not meet")
	assert.False(t, shared("B", month(2024, 6)), "another practice")
}

func TestSettingsThatDiffer(t *testing.T) {
	a, b := results.DefaultSettings(), results.DefaultSettings()
	assert.Empty(t, since.SettingsChanged(&a, &b))
	b.ToleranceDeg = 3
	assert.Equal(t, []string{"tolerance 2°, now 3°"}, since.SettingsChanged(&a, &b))
	month := casebook.NewMonth
	a.Period.To, b.ToleranceDeg = month(2025, 6), 2
	b.Period.From, b.Period.Quarter, b.Period.Clinician = month(2024, 1), month(2025, 7), "K2"
	b.Primary = results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, Course: results.Initial}
	assert.Equal(t, []string{
		"period to 2025-06, now from 2024-01 2025 Q3 against all before", "clinician all, now K2",
		"comparison declared beforehand none, now all teeth, extrusion, first sets",
	}, since.SettingsChanged(&a, &b))
}
