package section

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// field of a sheet: its head, its width in characters, and what stands under it for
// one row; nil leaves the cell blank.
type field[T any] struct {
	head  string
	width float64
	value func(T) any
}

// sheet is a table in full: every row, whether or not a page prints it, and numbers
// as numbers.
func sheet[T any](name string, rows []T, fields []field[T]) document.Sheet {
	s := document.Sheet{Name: name}
	for _, f := range fields {
		s.Columns = append(s.Columns, document.SheetColumn{Head: f.head, Width: f.width})
	}
	for _, r := range rows {
		cells := make([]any, len(fields))
		for i, f := range fields {
			cells[i] = plain(f.value(r))
		}
		s.Rows = append(s.Rows, cells)
	}
	return s
}

// plain makes a value one that a document knows; what was not estimated is nil.
func plain(v any) any {
	switch v := v.(type) {
	case results.Number:
		if !v.OK() {
			return nil
		}
		return float64(v)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	}
	return v
}

// byColumns are the columns that name a cell of the grid.
func byColumns[T any](by func(T) results.By, style bool) []field[T] {
	out := []field[T]{
		{"axis", 20, func(t T) any { return text(by(t).Axis.String()) }},
		{"direction", 20, func(t T) any { return text(by(t).Direction.String()) }},
		{"tooth (FDI)", 11, func(t T) any {
			if by(t).Tooth == 0 {
				return nil
			}
			return int(by(t).Tooth)
		}},
		{"tooth class", 11, func(t T) any { return text(by(t).ToothClass.String()) }},
		{"arch", 11, func(t T) any { return text(by(t).Arch.String()) }},
		{"course", 11, func(t T) any { return text(string(by(t).Course)) }},
	}
	if style {
		out = append(out, field[T]{"style", 20, func(t T) any { return text(by(t).Style.String()) }})
	}
	return out
}

// differences are the columns of a difference of two arms.
func differences[T any](name string, of func(T) results.Difference) []field[T] {
	n := func(head string, v func(results.Difference) results.Number) field[T] {
		return field[T]{name + head, 13, func(t T) any { return v(of(t)) }}
	}
	return []field[T]{
		n("", func(d results.Difference) results.Number { return d.Difference }),
		n(": low", func(d results.Difference) results.Number { return d.Low }), n(": high", func(d results.Difference) results.Number { return d.High }),
		n(": standard error", func(d results.Difference) results.Number { return d.SE }), n(": df", func(d results.Difference) results.Number { return d.DF }),
		n(": P", func(d results.Difference) results.Number { return d.P }), n(": P corrected", func(d results.Difference) results.Number { return d.PAdjusted }),
	}
}

// spreads are the columns of a value and its interval.
func spreads[T any](name string, of func(T) results.Spread) []field[T] {
	return []field[T]{
		{name, 13, func(t T) any { return of(t).Value }},
		{name + ": low", 11, func(t T) any { return of(t).Low }},
		{name + ": high", 11, func(t T) any { return of(t).High }},
	}
}

// shown hides the numbers of rows that are not to leave the practice.
func shown[T any](hidden func(T) bool, cols []field[T]) []field[T] {
	out := make([]field[T], len(cols))
	for i, c := range cols {
		out[i] = field[T]{c.head, c.width, func(t T) any { return blankIf(hidden(t), c.value(t)) }}
	}
	return out
}

// text leaves a cell blank rather than empty.
func text(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// blankIf hides a value of a suppressed row.
func blankIf(hidden bool, v any) any {
	if hidden {
		return nil
	}
	return v
}

func warningText(lists ...[]results.Warning) any {
	var parts []string
	for _, ws := range lists {
		for _, w := range ws {
			parts = append(parts, wording.Warning(w))
		}
	}
	return text(strings.Join(parts, " "))
}

// groupSheet is a family of two-group comparisons.
func groupSheet(name string, cs []results.GroupComparison) document.Sheet {
	type group = results.GroupComparison
	arms := func(who string, of func(group) results.GroupArm) []field[group] {
		return []field[group]{
			{who + ": cases", 11, func(c group) any { return of(c).Cases }},
			{who + ": movements", 11, func(c group) any { return of(c).Movements }},
			{who + ": mean planned (unit)", 13, func(c group) any { return of(c).MeanPlanned }},
			{who + ": expression (ratio)", 13, func(c group) any { return of(c).Expression }},
		}
	}
	numbers := slices.Concat(
		arms("group", func(c group) results.GroupArm { return c.Group }), arms("reference", func(c group) results.GroupArm { return c.Reference }),
		differences("unadjusted (ratio)", func(c group) results.Difference { return c.Unadjusted }), differences("adjusted (ratio)", func(c group) results.Difference { return c.Adjusted }),
		[]field[group]{
			{"verdict", 19, func(c group) any { return string(c.Verdict) }},
			{"reading", 60, func(c group) any { return text(c.Reading) }},
			{"adjusted for", 40, func(c group) any { return text(strings.Join(c.Adjusters, ", ")) }},
			{"not adjusted for", 40, func(c group) any { return text(strings.Join(c.NotAdjusted, ", ")) }},
		})
	cols := append(byColumns(func(c group) results.By { return c.By }, true),
		field[group]{"group", 26, func(c group) any { return c.Group.Name }}, field[group]{"reference", 26, func(c group) any { return c.Reference.Name }},
		field[group]{"unit", 8, func(c group) any { return c.Unit.String() }})
	cols = append(cols, shown(func(c group) bool { return c.Suppressed }, numbers)...)
	return sheet(name, cs, append(cols,
		field[group]{"suppressed", 11, func(c group) any { return c.Suppressed }},
		field[group]{"warnings", 60, func(c group) any { return warningText(c.Warnings) }}))
}
