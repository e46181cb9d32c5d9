package simulate

import (
	"fmt"

	"shortfall/ingest/casebook"
)

func caseOf(c *Patient, start, end casebook.Month) casebook.Case {
	return casebook.Case{
		ID: idOf(c), Practice: "P1", Clinician: fmt.Sprintf("K%d", 1+c.Clinician), Start: start, End: end,
		Status: casebook.Completed, ChangeDays: casebook.Some(10), PlannedAligners: casebook.Some(24),
	}
}

func idOf(c *Patient) string { return fmt.Sprintf("SIM-%04d", c.Number+1) }

func courseOf(c *Patient, number int, start casebook.Month) casebook.Course {
	return casebook.Course{CaseID: idOf(c), Number: number, Start: start, AlignersPlanned: casebook.Some(24), AlignersUsed: casebook.Some(24)}
}

func movementOf(c *Patient, course int, m *Plan, planned float64, style casebook.Style) casebook.Movement {
	return casebook.Movement{
		CaseID: idOf(c), Course: course, Tooth: m.Tooth, Axis: m.Direction.Axis(),
		Planned: m.Direction.Sign() * planned, Style: style,
	}
}
