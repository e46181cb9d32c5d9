package story

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// recorded says of each field that an audit rests on how much is on record, and what it
// is for.
func (t *teller) recorded() (out []results.FrontRecorded) {
	for _, f := range t.r.Completeness {
		field := f.Record + " " + f.Field
		what, ok := worthRecording[field]
		if !ok || f.Suppressed || f.Total == 0 {
			continue
		}
		out = append(out, results.FrontRecorded{What: wording.Capital(strings.TrimPrefix(what, "the ")), Recorded: f.Recorded, Total: f.Total, Of: f.Record, For: whatFor[field]})
	}
	return out
}

// whatFor says what an audit does with a field.
var whatFor = map[string]string{
	"case clinician": "whether a finding rests on one clinician", "case start month": "refinements by month, change over time", "case status": "refinements of completed cases",
	"course aligners used": "courses cut short, which never tried their plan", "case wear": "a fair comparison of patients", "movement achieved": "every number of this report",
	"movement direction": "which way a tooth was to move", "movement attachment style": "styles within the same patients", "movement staging": "combined against sequenced movements",
}
