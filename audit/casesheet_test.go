package audit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// twoCourseCase is case X against forty others who all expressed 60 %.
func twoCourseCase() *audittest.Build {
	b := &audittest.Build{}
	b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{
		ID: "X", Clinician: "K1", AgeBand: casebook.Age18To29, Start: casebook.NewMonth(2024, 3), End: casebook.NewMonth(2025, 2),
		Status: casebook.Completed, Wear: casebook.WearGood, ChangeDays: casebook.Some(10),
	})
	b.Dataset.Courses = append(b.Dataset.Courses,
		casebook.Course{Case: casebook.CaseKey{ID: "X"}, Number: 1, Start: casebook.NewMonth(2024, 3), AlignersPlanned: casebook.Some(20), AlignersUsed: casebook.Some(18)},
		casebook.Course{Case: casebook.CaseKey{ID: "X"}, Number: 2, Start: casebook.NewMonth(2024, 11)})
	b.Add("X", 1, 13, casebook.Rotation, -20, -4, audittest.Soft).Orientation = casebook.HorizontalFace
	b.Add("X", 1, 14, casebook.Rotation, -10, -6, audittest.Soft)
	b.Add("X", 1, 15, casebook.Rotation, -1, -1, audittest.Soft) // below the smallest plan
	b.Add("X", 2, 13, casebook.Rotation, -16, -12, audittest.Clin)
	for i := range 40 {
		b.Add("Y"+string(rune('A'+i)), 1, 23, casebook.Rotation, -10, -6, audittest.Soft)
	}
	return b
}

func TestCaseSheet(t *testing.T) {
	b := twoCourseCase()
	out, err := MakeCaseSheets(&b.Dataset, []casebook.CaseKey{{ID: "X"}}, results.DefaultSettings(), "test")
	require.NoError(t, err)
	require.Len(t, out.Sheets, 1)
	s := out.Sheets[0]
	assert.Equal(t, [4]int{3, 3, 3, 1}, [4]int{s.Planned, s.Measured, s.Outside, s.Small})
	assert.Equal(t, [2]int{1, 1}, [2]int{s.Again, s.Changes})
	require.Len(t, s.Courses, 2)
	assert.Equal(t, results.SheetCourse{Number: 1, Start: casebook.NewMonth(2024, 3), Length: 6, Planned: 20, Used: 18, Teeth: 3, Measured: true}, s.Courses[0])
	assert.Equal(t, [2]int{8, 3}, [2]int{s.Courses[1].From, s.Courses[1].Length})
	require.Len(t, s.Movements, 3)
	m := s.Movements[0]
	assert.Equal(t, casebook.MesialOut, m.Direction)
	assert.Equal(t, []results.Number{20, 4, 16}, []results.Number{m.Planned, m.Achieved, m.Shortfall})
	assert.True(t, m.Again)
	assert.True(t, m.AgainstTable, "a horizontal long edge for a rotation")
	assert.Equal(t, 40, m.Band.Cases, "the case itself is not in its band")
	assert.InDelta(t, 0.6, float64(m.Band.P50), 1e-12)
	assert.Zero(t, float64(m.Band.Rank))
	assert.Equal(t, results.Number(0.5), s.Movements[1].Band.Rank, "ties count half")
	last := s.Movements[2]
	assert.Equal(t, audittest.Soft, last.StyleBefore)
	assert.Zero(t, last.Band.Cases, "no other case has a refinement: no band")
	text := strings.Join(s.Questions, "\n")
	assert.Contains(t, text, "lowest tenth")
	assert.Contains(t, text, "The style was changed once")
	for _, q := range s.Questions {
		assert.Contains(t, q, "?", "the sheet asks, it does not advise")
	}
}

// TestCaseSheetTellsStatedRefinements: a case log without courses states how many
// refinements there were, and when the case began and ended.
func TestCaseSheetTellsStatedRefinements(t *testing.T) {
	b := twoCourseCase()
	c := &b.Dataset.Cases[0]
	c.StatedRefinements = casebook.Some(2)
	sheet := func() *results.CaseSheet {
		out, err := MakeCaseSheets(&b.Dataset, []casebook.CaseKey{{ID: "X"}}, results.DefaultSettings(), "test")
		require.NoError(t, err)
		return &out.Sheets[0]
	}
	s := sheet()
	assert.Equal(t, [2]int{11, 1}, [2]int{s.Months, s.Unrecorded()}, "one of two has a course")
	require.NotNil(t, s.Stated)
	assert.Equal(t, 2, *s.Stated)
	c.StatedRefinements = casebook.Opt[int]{}
	s = sheet()
	assert.Nil(t, s.Stated)
	assert.Zero(t, s.Unrecorded())
	c.End = 0
	assert.Zero(t, sheet().Months)
}

func TestCaseSheetShared(t *testing.T) {
	b := twoCourseCase()
	s := results.DefaultSettings()
	s.Shared = true
	out, err := MakeCaseSheets(&b.Dataset, []casebook.CaseKey{{ID: "X"}}, s, "test")
	require.NoError(t, err)
	x := out.Sheets[0]
	assert.Empty(t, x.Clinician)
	assert.Zero(t, x.AgeBand)
	assert.Zero(t, x.Start)
	assert.Zero(t, x.End)
	for _, c := range x.Courses {
		assert.Zero(t, c.Start)
	}
	assert.Equal(t, 8, x.Courses[1].From, "months from the start still show the course of treatment")
}

func TestCaseSheetBandNeedsCases(t *testing.T) {
	b := twoCourseCase()
	b.Dataset.Movements = b.Dataset.Movements[:4+9] // nine other cases
	out, err := MakeCaseSheets(&b.Dataset, []casebook.CaseKey{{ID: "X"}}, results.DefaultSettings(), "test")
	require.NoError(t, err)
	for _, m := range out.Sheets[0].Movements {
		assert.Zero(t, m.Band.Cases)
		assert.False(t, m.Band.Rank.OK())
	}
}

func TestUnknownCase(t *testing.T) {
	b := twoCourseCase()
	_, err := MakeCaseSheets(&b.Dataset, []casebook.CaseKey{{ID: "nobody"}}, results.DefaultSettings(), "test")
	assert.ErrorContains(t, err, "no case")
}

func TestEveryCaseHasASheet(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 30
	ds, _ := sampledata.Generate(params, 8)
	var ids []casebook.CaseKey
	for _, c := range ds.Cases {
		ids = append(ids, c.Key())
	}
	out, err := MakeCaseSheets(ds, ids, results.DefaultSettings(), "test")
	require.NoError(t, err)
	planned := 0
	for _, s := range out.Sheets {
		planned += s.Planned + s.Small
		assert.NotEmpty(t, s.Questions)
		assert.NotEmpty(t, s.Courses)
		for _, m := range s.Movements {
			assert.True(t, !m.Band.Rank.OK() || m.Band.Rank >= 0 && m.Band.Rank <= 1)
		}
	}
	all := 0
	for i := range ds.Movements {
		all += measure.OneIf(ds.Movements[i].Planned != 0)
	}
	assert.Equal(t, all, planned, "every planned movement is on a sheet or counted as small")
}
