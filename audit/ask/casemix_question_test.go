package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/ask/casemix"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestADeclaredDirectionIsCountedOnce: one declared beforehand may be a whole direction, as
// one of the others is; the others are as many as there are.
func TestADeclaredDirectionIsCountedOnce(t *testing.T) {
	r := &results.Results{}
	add := func(d casebook.Direction, primary bool, v results.Verdict) {
		by := results.By{Axis: d.Axis(), Direction: d, Course: results.Initial}
		r.Comparisons = append(r.Comparisons, results.Comparison{By: by, Primary: primary, Verdict: v, Adjusted: results.Difference{Difference: 0.1}})
		if v != results.NotComparable {
			r.Questions.CaseMix.Sensitivity = append(r.Questions.CaseMix.Sensitivity, results.Sensitivity{By: by})
		}
	}
	add(casebook.Extrusion, true, results.NotDistinguishable)
	add(casebook.Extrusion, false, results.NotDistinguishable)
	add(casebook.Intrusion, false, results.Higher)
	add(casebook.MesialIn, false, results.NotComparable)
	text := casemix.Repeated(r).Text
	assert.Contains(t, text, "Of 3\u00a0comparisons with a verdict")
	assert.Contains(t, text, "every direction over all teeth of first sets (2) and 1\u00a0other comparison, declared or called")
}
