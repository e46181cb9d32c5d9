package simulate

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// practice code of every simulated case.
const practice = "P1"

func caseOf(c *Patient, start, end casebook.Month) casebook.Case {
	return casebook.Case{
		ID: keyOf(c).ID, Practice: practice, Clinician: fmt.Sprintf("K%d", 1+c.Clinician), Start: start, End: end,
		Status: casebook.Completed, ChangeDays: casebook.Some(10), PlannedAligners: casebook.Some(24),
	}
}

func keyOf(c *Patient) casebook.CaseKey {
	return casebook.CaseKey{Practice: practice, ID: fmt.Sprintf("SIM-%04d", c.Number+1)}
}

func courseOf(c *Patient, number int, start casebook.Month) casebook.Course {
	return casebook.Course{Case: keyOf(c), Number: number, Start: start, AlignersPlanned: casebook.Some(24), AlignersUsed: casebook.Some(24)}
}

func movementOf(c *Patient, course int, m *Plan, planned float64, style casebook.Style) casebook.Movement {
	return casebook.Movement{
		Case: keyOf(c), Course: course, Tooth: m.Tooth, Axis: m.Direction.Axis(),
		Planned: m.Direction.Sign() * planned, Style: style,
	}
}
