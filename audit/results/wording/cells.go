package wording

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// CI names the interval: "95 % CI".
func CI(level float64) string { return fmt.Sprintf("%.4g %% CI", 100*level) }

// Counted writes "1 case" and "2 cases".
func Counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Cell puts a cell in words: "Upper premolars, rotation mesial-in, initial courses".
func Cell(b results.By, n casebook.Notation) string {
	var parts []string
	where := "all teeth"
	switch {
	case b.Tooth != 0:
		where = "tooth " + b.Tooth.In(n)
	case b.ToothClass != casebook.NoClass:
		where = strings.TrimSpace(b.Arch.String() + " " + b.ToothClass.String() + "s")
	case b.Arch != casebook.NoArch:
		where = b.Arch.String() + " teeth"
	}
	parts = append(parts, strings.ToUpper(where[:1])+where[1:])
	if b.Direction != casebook.NoDirection {
		parts = append(parts, b.Direction.String())
	} else if b.Axis != casebook.NoAxis {
		parts = append(parts, b.Axis.String())
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

func PText(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.2g", p)
}

// InUnit writes a size with its unit: "0.6 mm", "4°".
func InUnit(x results.Number, u casebook.Unit) string {
	if u == casebook.Millimetre {
		return Fixed(x, 1) + UnitText(u)
	}
	return Rounded(float64(x)) + UnitText(u)
}
