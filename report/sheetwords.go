package report

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// lossName is the row of attachments lost by the month worn.
func lossName(r results.LossRate) string {
	switch {
	case r.Style != casebook.NoStyle:
		return wording.Capital(wording.Style(r.Style))
	case r.Shape != casebook.NoShape:
		return wording.Capital(r.Shape.String())
	case r.ToothClass != casebook.NoClass:
		return wording.Capital(wording.Teeth(r.ToothClass))
	}
	return "All attachments"
}

func arm(c results.Comparison, s casebook.Style) results.Arm {
	for _, a := range c.Arms {
		if a.Style == s {
			return a
		}
	}
	return results.Arm{}
}
