package job

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// A name of a file says whose report it is, of what time and day, in characters that every
// system takes; nothing that a sheet may hold gets out of it.
func TestFileNames(t *testing.T) {
	of := func(change func(*results.Results)) string {
		r := &results.Results{Scope: results.Scope{Practices: []string{"MOONQUAY"}, First: casebook.NewMonth(2023, 10), Last: casebook.NewMonth(2026, 9)}}
		r.Provenance.Date = "2026-09-30"
		change(r)
		return FileName("report.pdf", r)
	}
	practices := func(codes ...string) func(*results.Results) {
		return func(r *results.Results) { r.Scope.Practices = codes }
	}
	assert.Equal(t, "report_MOONQUAY_2023Q4-2026Q3_2026-09-30.pdf", of(func(*results.Results) {}))
	assert.Equal(t, "report_P1_P2_2023Q4-2026Q3_2026-09-30.pdf", of(practices("P1", "P2")))
	assert.Equal(t, "report_4-practices_2023Q4-2026Q3_2026-09-30.pdf", of(practices("a", "b", "c", "d")))
	assert.Equal(t, "report_MOONQUAY_2025Q3_2026-09-30_shared_invented.pdf", of(func(r *results.Results) {
		r.Provenance.Settings.Period.Quarter, r.Provenance.Settings.Shared, r.Provenance.Invented = casebook.NewMonth(2025, 7), true, true
	}))
	assert.Equal(t, "report_MOONQUAY_2023Q4-2026Q3_2026-09-30.pdf", of(func(r *results.Results) { r.Provenance.Settings.Period.Clinician = "K1" }))
	for _, odd := range []string{`../../etc`, `a"; filename="x.exe`, "line\r\nbreak", "Zürich Süd", "ü", "", "-", "a/b\\c:d*e?f<g>h|i", "x.exe\x00", "a code that goes on and on and on for ever and ever"} {
		name := of(practices(odd))
		assert.Regexp(t, regexp.MustCompile(`^report(_[A-Za-z0-9-]{1,24})*_2023Q4-2026Q3_2026-09-30\.pdf$`), name)
	}
	none := of(func(r *results.Results) { *r = results.Results{} })
	assert.Equal(t, "report_period-not-recorded.pdf", none)
}
