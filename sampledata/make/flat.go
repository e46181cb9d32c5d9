package main

import (
	"encoding/csv"
	"io"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/template"
)

// column of the flat sheet: the columns of case, course and movement side by
// side, one row a movement.
type column struct {
	header string
	text   func(flatRow) string
}

// flatRow is one movement with its case and course.
type flatRow struct {
	casebook.Case
	course casebook.Course
	casebook.Movement
}

// header is the canonical header of a field.
func header(k casebook.Kind, f columns.Field) string {
	d, ok := columns.Find(k, f)
	if !ok {
		panic("no column " + f.String())
	}
	return d.Header
}

func flatColumns() []column {
	const c, m = casebook.CaseKind, casebook.MovementKind
	return []column{
		{header(c, columns.Case), func(r flatRow) string { return r.ID }},
		{header(c, columns.Practice), func(r flatRow) string { return r.Practice }},
		{header(c, columns.Clinician), func(r flatRow) string { return r.Clinician }},
		{header(c, columns.AgeBand), func(r flatRow) string { return r.AgeBand.String() }},
		{header(c, columns.StartMonth), func(r flatRow) string { return r.Case.Start.String() }},
		{header(c, columns.EndMonth), func(r flatRow) string { return r.End.String() }},
		{header(c, columns.Status), func(r flatRow) string { return r.Status.String() }},
		{header(c, columns.PlannedAligners), func(r flatRow) string { return count(r.PlannedAligners) }},
		{header(c, columns.ChangeDays), func(r flatRow) string { return count(r.ChangeDays) }},
		{header(c, columns.Wear), func(r flatRow) string { return r.Wear.String() }},
		{header(c, columns.WearRecorded), func(r flatRow) string { return r.WearRecorded.String() }},
		{header(c, columns.Refinements), func(r flatRow) string { return count(r.StatedRefinements) }},
		{header(m, columns.Course), func(r flatRow) string { return strconv.Itoa(r.course.Number) }},
		{"course start month", func(r flatRow) string { return r.course.Start.String() }},
		{"course aligners planned", func(r flatRow) string { return count(r.course.AlignersPlanned) }},
		{"course aligners used", func(r flatRow) string { return count(r.course.AlignersUsed) }},
		{header(m, columns.Tooth), func(r flatRow) string { return r.Tooth.String() }},
		{header(m, columns.Axis), func(r flatRow) string { return r.Axis.String() }},
		{header(m, columns.Planned), func(r flatRow) string { return amount(casebook.Some(r.Planned), "") }},
		{header(m, columns.Achieved), func(r flatRow) string { return amount(r.Achieved, columns.MissingCode) }},
		{header(m, columns.Unit), func(r flatRow) string { return r.Axis.Unit().String() }},
		{header(m, columns.Style), func(r flatRow) string { return r.Style.String() }},
		{header(m, columns.Shape), func(r flatRow) string { return r.Shape.String() }},
		{header(m, columns.Orientation), func(r flatRow) string { return r.Orientation.String() }},
		{header(m, columns.FeatureSize), func(r flatRow) string { return amount(r.SizeMM, "") }},
		{header(m, columns.Lost), func(r flatRow) string { return yesNo(r.Lost) }},
		{header(m, columns.LostMonth), func(r flatRow) string { return count(r.LostMonth) }},
		{header(m, columns.Staging), func(r flatRow) string { return r.Staging.String() }},
		{header(m, columns.MeasuredBy), func(r flatRow) string { return r.MeasuredBy.String() }},
	}
}

// flat lays the dataset out as one sheet: the header row, then a row a movement.
func flat(ds *casebook.Dataset) [][]string {
	cases, courses := map[casebook.CaseKey]casebook.Case{}, map[casebook.CourseKey]casebook.Course{}
	for _, c := range ds.Cases {
		cases[c.Key()] = c
	}
	for _, c := range ds.Courses {
		courses[c.Key()] = c
	}
	cols := flatColumns()
	head := make([]string, len(cols))
	for i, c := range cols {
		head[i] = c.header
	}
	rows := [][]string{head}
	for _, m := range ds.Movements {
		r := flatRow{cases[m.Case], courses[casebook.CourseKey{Case: m.Case, Number: m.Course}], m}
		row := make([]string, len(cols))
		for i, c := range cols {
			row[i] = c.text(r)
		}
		rows = append(rows, row)
	}
	return rows
}

// writeCSV writes the banner and the rows.
func writeCSV(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	first := make([]string, len(rows[0]))
	first[0] = template.Banner // ingest knows the file by it as invented
	if err := c.Write(first); err != nil {
		return err
	}
	return c.WriteAll(rows)
}

func count(n casebook.Opt[int]) string {
	if !n.OK {
		return ""
	}
	return strconv.Itoa(n.Value)
}

func amount(x casebook.Opt[float64], missing string) string {
	if !x.OK {
		return missing
	}
	return strconv.FormatFloat(x.Value, 'f', -1, 64)
}

func yesNo(b casebook.Opt[bool]) string {
	switch {
	case !b.OK:
		return ""
	case b.Value:
		return "yes"
	}
	return "no"
}
