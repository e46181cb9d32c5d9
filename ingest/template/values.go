package template

import (
	"cmp"
	"fmt"
	"math"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// notRecorded is what a record says that has no status: a blank one is asked about.
const notRecorded = "not recorded"

// exampleRow is the filled example of a kind; its case id marks it.
func exampleRow(k casebook.Kind) rows {
	defs := columnsOf(k)
	values := make([]any, len(defs))
	for i, d := range defs {
		values[i] = example(d)
	}
	return rows{each: func(yield func([]any) bool) { yield(values) }, example: true}
}

// example is the example text of a column, as a number where the column holds numbers.
func example(d columns.Def) any {
	if d.Type == columns.Count || d.Type == columns.Amount {
		if x, err := strconv.ParseFloat(d.Example, 64); err == nil {
			return x
		}
	}
	if d.Example == "" {
		return nil
	}
	return d.Example
}

// datasetRows are the records of one kind, column by column.
func datasetRows(ds *casebook.Dataset, k casebook.Kind, meta Meta) rows {
	defs := meta.columnsOf(k)
	switch k {
	case casebook.CaseKind:
		return rowsOf(ds.Cases, defs, caseValue)
	case casebook.CourseKind:
		return rowsOf(ds.Courses, defs, courseValue)
	case casebook.MovementKind:
		return rowsOf(ds.Movements, defs, meta.movementValue)
	}
	return rowsOf(ds.Repeats, defs, repeatValue)
}

func rowsOf[T any](records []T, defs []columns.Def, value func(T, columns.Field) any) rows {
	return rows{each: func(yield func([]any) bool) {
		row := make([]any, len(defs))
		for _, r := range records {
			for j, d := range defs {
				row[j] = value(r, d.Field)
			}
			if !yield(row) {
				return
			}
		}
	}}
}

// placed is the value of a column of plain words.
func placed(k casebook.Kind, record any, f columns.Field) (any, bool) {
	d, ok := columns.Find(k, f)
	if !ok || d.Place == nil {
		return nil, false
	}
	return word(d.Place(record)), true
}

func caseValue(c casebook.Case, f columns.Field) any {
	if v, ok := placed(casebook.CaseKind, &c, f); ok {
		return v
	}
	switch f {
	case columns.Case:
		return c.ID
	case columns.Practice:
		return text(c.Practice)
	case columns.Clinician:
		return text(c.Clinician)
	case columns.AgeBand:
		return cmp.Or(word(c.AgeBand), text(c.Own.AgeBand))
	case columns.StartMonth:
		return word(c.Start)
	case columns.EndMonth:
		return word(c.End)
	case columns.Status:
		return cmp.Or(word(c.Status), text(c.Own.Status), any(notRecorded))
	case columns.PlannedAligners:
		return opt(c.PlannedAligners)
	case columns.ChangeDays:
		return opt(c.ChangeDays)
	case columns.Wear:
		return cmp.Or(word(c.Wear), text(c.Own.Wear))
	case columns.Refinements:
		return opt(c.StatedRefinements)
	}
	panic(unknown(f))
}

func courseValue(c casebook.Course, f columns.Field) any {
	if v, ok := placed(casebook.CourseKind, &c, f); ok {
		return v
	}
	switch f {
	case columns.Case:
		return c.Case.ID
	case columns.Practice:
		return text(c.Case.Practice)
	case columns.Course:
		return courseName(c.Number)
	case columns.CourseStart:
		return word(c.Start)
	case columns.AlignersPlanned:
		return opt(c.AlignersPlanned)
	case columns.AlignersUsed:
		return opt(c.AlignersUsed)
	}
	panic(unknown(f))
}

// noDirection stands for the direction of a size: a blank would be asked about.
const noDirection = "not recorded"

// movementValue is that of a movement in a workbook so described.
func (meta Meta) movementValue(m casebook.Movement, f columns.Field) any {
	switch {
	case f == columns.Direction && m.SizeOnly && meta.sizes:
		return noDirection
	case f == columns.Direction && m.SizeOnly:
		return nil
	case f == columns.Direction:
		return word(m.Direction())
	case meta.sizes && f == columns.Planned:
		return math.Abs(m.Planned)
	case meta.sizes && f == columns.Achieved && m.Achieved.OK && m.Planned < 0:
		return -m.Achieved.Value
	}
	return movementValue(m, f)
}

func movementValue(m casebook.Movement, f columns.Field) any {
	if v, ok := placed(casebook.MovementKind, &m, f); ok {
		return v
	}
	switch f {
	case columns.Planned:
		return m.Planned
	case columns.Achieved:
		if !m.Achieved.OK {
			return columns.MissingCode
		}
		return m.Achieved.Value
	case columns.StatedPercent:
		return opt(m.StatedPercent)
	case columns.Style:
		return word(m.Style)
	case columns.Shape:
		return word(m.Shape)
	case columns.Orientation:
		return word(m.Orientation)
	case columns.FeatureSize:
		return opt(m.SizeMM)
	case columns.Lost:
		return yesNo(m.Lost)
	case columns.LostMonth:
		return opt(m.LostMonth)
	case columns.Staging:
		return word(m.Staging)
	}
	return keyValue(m.Key(), f)
}

func repeatValue(r casebook.Repeat, f columns.Field) any {
	switch f {
	case columns.First:
		return r.First
	case columns.Second:
		return r.Second
	}
	return keyValue(r.Key(), f)
}

func keyValue(k casebook.MovementKey, f columns.Field) any {
	switch f {
	case columns.Case:
		return k.Case.ID
	case columns.Practice:
		return text(k.Case.Practice)
	case columns.Course:
		return courseName(k.Course)
	case columns.Tooth:
		return k.Tooth.String()
	case columns.Axis:
		return word(k.Axis)
	case columns.Unit:
		return word(k.Axis.Unit())
	}
	panic(unknown(f))
}

// unknown: a column was added to the template and not here; TestEveryColumn
// meets it first.
func unknown(f columns.Field) string { return "template: no value for column " + f.String() }

func courseName(n int) string {
	if n == 1 {
		return "initial"
	}
	return fmt.Sprintf("refinement %d", n-1)
}

// Missing values are nil: the cell is left out.

func text(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func word(w fmt.Stringer) any { return text(w.String()) }

func opt[T any](o casebook.Opt[T]) any {
	if !o.OK {
		return nil
	}
	return o.Value
}

func yesNo(o casebook.Opt[bool]) any {
	switch {
	case !o.OK:
		return nil
	case o.Value:
		return "yes"
	}
	return "no"
}
