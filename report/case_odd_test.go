package report

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/sampledata"
)

// odd are cases that a record hardly ever holds, beside the usual ones of a practice.
type odd struct {
	ds *casebook.Dataset
	in casebook.Case
}

// add files a case with courses of some movements, and gives the movements.
func (o *odd) add(id string, courses int, perCourse func(n int) []casebook.Movement) casebook.CaseKey {
	c := o.in
	c.ID, c.StatedRefinements = id, casebook.Opt[int]{}
	o.ds.Cases = append(o.ds.Cases, c)
	for n := 1; n <= courses; n++ {
		o.ds.Courses = append(o.ds.Courses, casebook.Course{Case: c.Key(), Number: n, Start: c.Start + casebook.Month(4*(n-1))})
		for _, m := range perCourse(n) {
			m.Case, m.Course = c.Key(), n
			o.ds.Movements = append(o.ds.Movements, m)
		}
	}
	return c.Key()
}

func planned(t casebook.Tooth, a casebook.Axis, p float64) casebook.Movement {
	return casebook.Movement{Tooth: t, Axis: a, Planned: p, Achieved: casebook.Some(0.6 * p), Style: casebook.SoftwareSuggested, MeasuredBy: casebook.SuperimposedScans}
}

// oddCases are one movement, twelve courses, every tooth along every axis, nothing
// planned, no outcome, and no months.
func oddCases(t *testing.T) (*casebook.Dataset, []casebook.CaseKey) {
	p := sampledata.Default()
	p.Cases = 40
	ds, _ := sampledata.Generate(p, 41)
	o := odd{ds, ds.Cases[slices.IndexFunc(ds.Cases, func(c casebook.Case) bool { return c.Start != 0 })]}
	teeth := slices.DeleteFunc(casebook.AllTeeth(), func(t casebook.Tooth) bool { return t.Position() == 8 })
	every := func(from float64, teeth []casebook.Tooth) func(n int) (out []casebook.Movement) {
		return func(n int) (out []casebook.Movement) {
			for i, tooth := range teeth {
				for _, a := range casebook.Axes() {
					out = append(out, planned(tooth, a, from+float64((i+n)%9)/2))
				}
			}
			return out
		}
	}
	one := func(m casebook.Movement) func(int) []casebook.Movement {
		return func(int) []casebook.Movement { return []casebook.Movement{m} }
	}
	still, unknown := planned(teeth[3], casebook.Rotation, 0), planned(teeth[4], casebook.Rotation, 22.5)
	still.Achieved, unknown.Achieved = casebook.Some(2.5), casebook.Opt[float64]{}
	keys := []casebook.CaseKey{
		o.add("ODD-1", 1, one(planned(teeth[3], casebook.Rotation, 22.5))), o.add("ODD-2", 12, every(0.5, teeth[3:6])), o.add("ODD-3", 1, every(2.4, teeth)),
		o.add("ODD-4", 1, one(still)), o.add("ODD-5", 1, one(unknown)),
	}
	early := o.add("ODD-7", 2, every(2, teeth[:2]))
	o.ds.Courses[len(o.ds.Courses)-2].Start -= 3 // before its case
	o.in.Start, o.in.End = 0, 0
	return ds, append(keys, early, o.add("ODD-6", 5, every(10, teeth[:4])))
}

// The sheet of an odd case is one sound page in every notation, and of a case without a
// result it does not ask what went well.
func TestOddCasesHaveSoundSheets(t *testing.T) {
	ds, keys := oddCases(t)
	for i, notation := range []casebook.Notation{casebook.FDI, casebook.Universal, casebook.Palmer}[:everyday(3, 2)] {
		s := results.DefaultSettings()
		s.Notation = notation
		sheets, err := audit.MakeCaseSheets(ds, keys, s, "0.1.0")
		require.NoError(t, err)
		for _, size := range []paper.Size{paper.A4, paper.Letter} {
			if !long && (i+int(size.W))%2 > 0 {
				continue
			}
			d, err := composeCases(sheets, Options{Paper: size})
			require.NoError(t, err)
			assert.Equal(t, len(keys), d.Pages(), "a page each on %s", size.Name)
			assert.Empty(t, slices.Concat(leaving(d, size), overlapping(d), cut(d), broken(d), orphaned(d)), fmt.Sprint(notation, " on ", size.Name))
		}
		for _, x := range sheets.Sheets {
			if x.ID == "ODD-7" {
				assert.Equal(t, []int{0, 7}, []int{x.Courses[0].From, x.Courses[1].From}, "counted from the course that came first")
				assert.Equal(t, "course-before-case", x.Warnings[0].ID)
			} else {
				assert.False(t, slices.ContainsFunc(x.Warnings, func(w results.Warning) bool { return w.ID == "course-before-case" }), x.ID)
			}
			for _, q := range x.Questions {
				if x.Measured == 0 {
					assert.NotContains(t, q, "went well", x.ID)
				}
			}
		}
	}
}
