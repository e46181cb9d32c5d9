package wording

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// CI names the interval: "95 % CI".
func CI(level float64) string { return Level(level) + nbsp + "CI" }

// Cell puts a cell in words: "upper premolars, rotation mesial-in, initial courses".
func Cell(b results.By, n casebook.Notation) string {
	parts := []string{Place(b, n)}
	if b.Direction != casebook.NoDirection || b.Axis != casebook.NoAxis {
		parts = append(parts, Movement(b))
	}
	if b.Style != casebook.NoStyle {
		parts = append(parts, b.Style.String())
	}
	switch b.Course {
	case results.Initial:
		parts = append(parts, "initial courses")
	case results.Refinement:
		parts = append(parts, "refinements")
	}
	return strings.Join(parts, ", ")
}
