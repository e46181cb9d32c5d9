package rules

import "shortfall/ingest/casebook"

func movementUnplanned(v *view, report reporter) {
	for _, r := range v.Movements {
		if r.Value.Planned == 0 && r.Value.Achieved.OK && r.Value.Achieved.Value != 0 {
			report(r.Source, "achieved movement where 0 was planned")
		}
	}
}

func styleMissing(v *view, report reporter) {
	for _, r := range v.Movements {
		m := r.Value
		described := m.Shape != casebook.NoShape || m.Orientation != casebook.NoOrientation || m.SizeMM.OK
		if described && m.Style == casebook.NoStyle {
			report(r.Source, "a feature is described and its style is blank")
		}
	}
}

func repeatUnmatched(v *view, report reporter) {
	if len(v.Movements) == 0 || len(v.Repeats) == 0 {
		return
	}
	known := make(map[casebook.MovementKey]bool, len(v.Movements))
	for _, r := range v.Movements {
		known[r.Value.Key()] = true
	}
	for _, r := range v.Repeats {
		if !known[r.Value.Key()] {
			report(r.Source, "the repeated movement is not in this file")
		}
	}
}
