package template

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// flatHeaders are columns that need another header where the columns of a case,
// of its course and of a movement stand side by side.
var flatHeaders = map[columns.Field]string{
	columns.CourseStart: "course start month", columns.AlignersPlanned: "course aligners planned",
	columns.AlignersUsed: "course aligners used",
}

// WriteFlat writes a row a movement, with the columns of its case and its course,
// as comma-separated text. Repeats, and cases and courses without a movement, have
// no row there.
func WriteFlat(w io.Writer, ds *casebook.Dataset, meta Meta) error {
	meta = meta.of(ds)
	cases, courses := map[casebook.CaseKey]casebook.Case{}, map[casebook.CourseKey]casebook.Course{}
	for _, c := range ds.Cases {
		cases[c.Key()] = c
	}
	for _, c := range ds.Courses {
		courses[c.Key()] = c
	}
	out := csv.NewWriter(w)
	caseDefs, courseDefs, moveDefs := columnsOf(casebook.CaseKind), without(columnsOf(casebook.CourseKind)[2:], columns.MeasuredBy), meta.columnsOf(casebook.MovementKind)[1:]
	moveDefs = without(moveDefs, columns.Practice)
	listed := slices.ContainsFunc(ds.Movements, func(m casebook.Movement) bool { _, ok := cases[m.Case]; return ok })
	charted := slices.ContainsFunc(ds.Movements, func(m casebook.Movement) bool {
		_, ok := courses[casebook.CourseKey{Case: m.Case, Number: m.Course}]
		return ok
	})
	if !charted && !listed {
		courseDefs = nil
	}
	if !listed { // columns of a case would make cases of them
		caseDefs = caseDefs[:2]
	}
	if meta.Invented {
		if err := out.Write(append([]string{Banner}, make([]string, len(caseDefs)+len(courseDefs)+len(moveDefs)-1)...)); err != nil {
			return err
		}
	}
	var head []string
	for _, defs := range [][]columns.Def{caseDefs, courseDefs, moveDefs} {
		for _, d := range defs {
			h := Header(d)
			if other, ok := flatHeaders[d.Field]; ok {
				h = other
			}
			head = append(head, h)
		}
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, m := range ds.Movements {
		c, logged := cases[m.Case]
		if !logged {
			c = casebook.Case{ID: m.Case.ID, Practice: m.Case.Practice}
		}
		course := courses[casebook.CourseKey{Case: m.Case, Number: m.Course}]
		if m.MeasuredBy == casebook.NoMethod {
			m.MeasuredBy = course.MeasuredBy // a row is a movement: what holds for its course is said there
		}
		row := flatRow(nil, c, caseDefs, caseValue)
		row = flatRow(row, course, courseDefs, courseValue)
		if err := out.Write(flatRow(row, m, moveDefs, meta.movementValue)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func without(defs []columns.Def, f columns.Field) []columns.Def {
	var out []columns.Def
	for _, d := range defs {
		if d.Field != f {
			out = append(out, d)
		}
	}
	return out
}

func flatRow[T any](row []string, v T, defs []columns.Def, value func(T, columns.Field) any) []string {
	for _, d := range defs {
		text := ""
		if x := value(v, d.Field); x != nil {
			text = fmt.Sprint(x)
		}
		row = append(row, text)
	}
	return row
}
