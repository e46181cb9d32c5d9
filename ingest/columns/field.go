package columns

import (
	"fmt"
	"strings"
)

// Field names what a column means, independent of how its header is written.
type Field uint8

// The fields of the four record kinds.
const (
	NoField Field = iota
	Case
	Practice
	Clinician
	AgeBand
	Age
	StartMonth
	EndMonth
	Status
	PlannedAligners
	ChangeDays
	Wear
	Refinements
	Course
	CourseStart
	AlignersPlanned
	AlignersUsed
	Tooth
	Axis
	Direction
	Planned
	Achieved
	Residual
	StartPosition
	EndPosition
	StatedPercent
	Unit
	Style
	Shape
	Orientation
	FeatureSize
	Lost
	LostMonth
	Staging
	First
	Second
	Quadrant
	Arch
	Side
	Changed
	TargetPosition
	MeasuredBy
	WearRecorded
	Confirmed
	FieldCount int = iota
)

var fieldNames = [...]string{
	"", "case", "practice", "clinician", "age band", "age", "start month", "end month", "status",
	"planned aligners", "change interval", "wear", "refinements", "course", "course start month",
	"aligners planned", "aligners used", "tooth", "axis", "direction", "planned", "achieved",
	"residual", "start position", "end position", "stated percent", "unit", "style", "shape",
	"orientation", "feature size", "lost", "lost month", "staging", "first", "second",
	"quadrant", "arch", "side", "changed", "target position", "measured by", "wear recorded", "confirmed",
}

// Fields lists every field.
func Fields() []Field {
	out := make([]Field, 0, FieldCount-1)
	for i := 1; i < FieldCount; i++ {
		out = append(out, Field(i))
	}
	return out
}

// ParseField reads the name of a field, as a mapping file writes it.
func ParseField(s string) (Field, error) {
	for i, n := range fieldNames {
		if i > 0 && strings.EqualFold(n, strings.TrimSpace(s)) {
			return Field(i), nil
		}
	}
	return NoField, fmt.Errorf("unknown field: expected one of %s", strings.Join(fieldNames[1:], ", "))
}

func (f Field) String() string {
	if int(f) >= len(fieldNames) {
		return fmt.Sprintf("invalid(%d)", uint8(f))
	}
	return fieldNames[f]
}

// MarshalText writes the name of the field.
func (f Field) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads the name of the field.
func (f *Field) UnmarshalText(b []byte) (err error) { *f, err = ParseField(string(b)); return err }
