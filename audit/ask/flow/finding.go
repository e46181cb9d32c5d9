package flow

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// findings says how far the data carry.
func findings(r *results.Results) []results.Finding {
	f := results.Finding{Kind: results.DataQuality, Rests: []results.Basis{{Table: "flow.figure"}}, Limits: "What was never recorded cannot be seen here."}
	var parts []string
	if n := r.Flow.CasesLogged; n > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s in the log (%s) are measured", r.Flow.Ascertained.Numerator, wording.Of(n, "case"), wording.Percent(r.Flow.Ascertained.Value)))
	}
	missing := r.WithoutOutcome()
	if planned := r.Scope.Movements + missing; planned > 0 {
		parts = append(parts, fmt.Sprintf("%s of %s have no outcome", wording.Percent(results.Number(float64(missing)/float64(planned))), wording.Of(planned, "planned movement")))
	}
	if d := r.Questions.Doubtful; d.Amounts > 0 {
		text := wording.Of(d.Amounts, "movement") + " can hardly be right as recorded"
		if d.Confirmed > 0 {
			text += fmt.Sprintf(" (%d confirmed on reading)", d.Confirmed)
		}
		parts = append(parts, text)
	}
	var errors []string
	for _, e := range r.Repeats {
		if e.SmallestDetectable.OK() {
			text := wording.Fine(e.SmallestDetectable, e.Unit)
			if way := r.ErrorWay(&e); way != casebook.NoMethod {
				text += " (" + way.String() + ")"
			}
			errors = append(errors, text)
		}
	}
	if len(errors) > 0 {
		parts = append(parts, "differences of one movement below "+strings.Join(errors, " or ")+" are within the error of measurement")
	}
	if len(parts) == 0 {
		return nil
	}
	f.Text = wording.Capital(strings.Join(parts, "; ")) + "."
	f.Action = "Who is missing, and could their outcomes still be measured?"
	if len(r.Repeats) == 0 {
		f.Action = "Would you measure at least 25 movements twice, so that the error of measurement is known?"
	}
	return []results.Finding{f}
}
