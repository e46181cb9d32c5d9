package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Field of a sheet: its head, its width in characters, and what stands under it for
// one row; nil leaves the cell blank.
type Field[T any] struct {
	head  string
	width float64
	value func(T) any
}

// Head is a field of a sheet.
func Head[T any](head string, width float64, value func(T) any) Field[T] {
	return Field[T]{head, width, value}
}

// Sheet is a table in full: every row, whether or not a page prints it, and numbers
// as numbers.
func Sheet[T any](name string, rows []T, fields []Field[T]) document.Sheet {
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
func byColumns[T any](m *Maker, by func(T) results.By, style bool) []Field[T] {
	out := []Field[T]{
		{"axis", 20, func(t T) any { return Text(by(t).Axis.String()) }},
		{"direction", 20, func(t T) any { return Text(m.Names.Direction(by(t).Direction)) }},
		{"tooth (FDI)", 11, func(t T) any {
			if by(t).Tooth == 0 {
				return nil
			}
			return int(by(t).Tooth)
		}},
		{"tooth class", 11, func(t T) any { return Text(by(t).ToothClass.String()) }},
		{"arch", 11, func(t T) any { return Text(by(t).Arch.String()) }},
		{"course", 11, func(t T) any { return Text(string(by(t).Course)) }},
	}
	if style {
		out = append(out, Field[T]{"style", 20, func(t T) any { return Text(by(t).Style.String()) }})
	}
	return out
}

// differences are the columns of a difference of two arms.
func differences[T any](name string, of func(T) results.Difference) []Field[T] {
	n := func(head string, v func(results.Difference) results.Number) Field[T] {
		return Field[T]{name + head, 13, func(t T) any { return v(of(t)) }}
	}
	return []Field[T]{
		n("", func(d results.Difference) results.Number { return d.Difference }),
		n(": low", func(d results.Difference) results.Number { return d.Low }), n(": high", func(d results.Difference) results.Number { return d.High }),
		n(": standard error", func(d results.Difference) results.Number { return d.SE }), n(": df", func(d results.Difference) results.Number { return d.DF }),
		n(": P", func(d results.Difference) results.Number { return d.P }), n(": P corrected", func(d results.Difference) results.Number { return d.PAdjusted }),
	}
}

// spreads are the columns of a value and its interval.
func spreads[T any](name string, of func(T) results.Spread) []Field[T] {
	return []Field[T]{
		{name, 13, func(t T) any { return of(t).Value }},
		{name + ": low", 11, func(t T) any { return of(t).Low }},
		{name + ": high", 11, func(t T) any { return of(t).High }},
	}
}

// shown hides the numbers of rows that are not to leave the practice.
func shown[T any](hidden func(T) bool, cols []Field[T]) []Field[T] {
	out := make([]Field[T], len(cols))
	for i, c := range cols {
		out[i] = Field[T]{c.head, c.width, func(t T) any { return blankIf(hidden(t), c.value(t)) }}
	}
	return out
}

// Text leaves a cell blank rather than empty.
func Text(s string) any {
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
	return Text(strings.Join(parts, " "))
}

// groupSheet is a family of two-group comparisons.
func groupSheet(m *Maker, name string, cs []results.GroupComparison) document.Sheet {
	type group = results.GroupComparison
	arms := func(who string, of func(group) results.GroupArm) []Field[group] {
		return []Field[group]{
			{who + ": cases", 11, func(c group) any { return of(c).Cases }},
			{who + ": movements", 11, func(c group) any { return of(c).Movements }},
			{who + ": mean planned (unit)", 13, func(c group) any { return of(c).MeanPlanned }},
			{who + ": expression (ratio)", 13, func(c group) any { return of(c).Expression }},
		}
	}
	numbers := slices.Concat(
		arms("group", func(c group) results.GroupArm { return c.Group }), arms("reference", func(c group) results.GroupArm { return c.Reference }),
		differences("unadjusted (ratio)", func(c group) results.Difference { return c.Unadjusted }), differences("adjusted (ratio)", func(c group) results.Difference { return c.Adjusted }),
		[]Field[group]{
			{"verdict", 19, func(c group) any { return string(c.Verdict) }},
			{"reading", 60, func(c group) any { return Text(c.Reading) }},
			{"adjusted for", 40, func(c group) any { return Text(strings.Join(c.Adjusters, ", ")) }},
			{"not adjusted for", 40, func(c group) any { return Text(strings.Join(c.NotAdjusted, ", ")) }},
		})
	cols := append(byColumns(m, func(c group) results.By { return c.By }, true),
		Field[group]{"group", 26, func(c group) any { return c.Group.Name }}, Field[group]{"reference", 26, func(c group) any { return c.Reference.Name }},
		Field[group]{"unit", 8, func(c group) any { return c.Unit.String() }})
	cols = append(cols, shown(func(c group) bool { return c.Suppressed }, numbers)...)
	return Sheet(name, cs, append(cols,
		Field[group]{"suppressed", 11, func(c group) any { return c.Suppressed }},
		Field[group]{"warnings", 60, func(c group) any { return warningText(c.Warnings) }}))
}
