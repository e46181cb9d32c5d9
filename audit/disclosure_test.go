package audit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// part is one of the finest cells: what a movement is.
type part struct {
	direction casebook.Direction
	tooth     casebook.Tooth
	style     casebook.Style
	course    results.CourseStratum
}

func partOf(m casebook.Movement) part {
	p := part{m.Direction(), m.Tooth, m.Style, results.Initial}
	if m.Course > 1 {
		p.course = results.Refinement
	}
	return p
}

// inCell is written apart from the audit's own idea of a cell.
func inCell(by results.By, p part) bool {
	return p.direction.Axis() == by.Axis && p.course == by.Course &&
		(by.Direction == 0 || by.Direction == p.direction) &&
		(by.Style == 0 || by.Style == p.style) &&
		(by.Tooth == 0 || by.Tooth == p.tooth) &&
		(by.ToothClass == 0 || by.ToothClass == p.tooth.Class()) &&
		(by.Arch == 0 || by.Arch == p.tooth.Arch())
}

// basis is an orthonormal basis of the sums a reader can form (Gram-Schmidt,
// twice is enough).
type basis [][]float64

func (b *basis) rest(v []float64) (left []float64, size float64) {
	left = append([]float64(nil), v...)
	for range 2 {
		for _, q := range *b {
			s := 0.0
			for i := range q {
				s += q[i] * left[i]
			}
			for i := range q {
				left[i] -= s * q[i]
			}
		}
	}
	for _, x := range left {
		size += x * x
	}
	return left, math.Sqrt(size)
}

func (b *basis) add(v []float64) {
	left, size := b.rest(v)
	if size < 1e-8 {
		return
	}
	for i := range left {
		left[i] /= size
	}
	*b = append(*b, left)
}

// TestNoWithheldCellIsRecoverable tries every withheld cell of fewer than five
// cases against all sums and differences of the cells shown: brute force, with
// the cases counted here. Practices of a few cases, some with unrecorded
// styles, make small cells common.
func TestNoWithheldCellIsRecoverable(t *testing.T) {
	withheld, secondary := 0, 0
	for seed := uint64(1); seed <= uint64(audittest.Everyday(6, 3)); seed++ {
		ds := invented(seed, 14)
		for i := range ds.Movements {
			if i%11 == int(seed) {
				ds.Movements[i].Style = casebook.NoStyle
			}
		}
		open := mustRun(t, ds, nil)
		shared := mustRun(t, ds, func(s *results.Settings) { s.Shared = true })
		require.Len(t, shared.Expression, len(open.Expression))
		sums := sumsShown(t, ds, open, shared)
		for i, c := range shared.Expression {
			switch {
			case !c.Suppressed:
			case open.Expression[i].Cases >= 5:
				secondary++
			default:
				withheld++
				left := sums.rest(c.By, func(p part) bool { return inCell(c.By, p) })
				assert.Greater(t, left, 1e-6, "seed %d: %+v can be worked out", seed, c.By)
			}
		}
		// Movements without a recorded style have no cell of their own, but
		// a margin less its styles would be one.
		for _, by := range unrecordedCells(ds) {
			if by.cases < 5 {
				left := sums.rest(by.By, func(p part) bool { return p.style == casebook.NoStyle && inCell(by.By, p) })
				assert.Greater(t, left, 1e-6, "seed %d: unrecorded styles in %+v can be worked out", seed, by.By)
			}
		}
	}
	assert.Greater(t, withheld, 100)
	assert.Greater(t, secondary, 10)
}

// cellSums are the shown cells of each axis and course, as vectors over the parts of a
// dataset that no cell divides.
type cellSums struct {
	index  map[part]int
	groups map[results.By]*basis
}

// sumsShown are those of a shared audit, each cell of which shows what the open one does,
// of five cases or more, or nothing at all.
func sumsShown(t *testing.T, ds *casebook.Dataset, open, shared *results.Results) cellSums {
	s := cellSums{map[part]int{}, map[results.By]*basis{}}
	for _, m := range ds.Movements {
		if p := partOf(m); counts(m) {
			if _, ok := s.index[p]; !ok {
				s.index[p] = len(s.index)
			}
		}
	}
	for i, c := range shared.Expression {
		require.Equal(t, open.Expression[i].By, c.By)
		if c.Suppressed {
			assert.Zero(t, c.Cases)
			assert.Zero(t, c.Movements)
			assert.False(t, c.PlannedTotal.OK() || c.Estimate.OK() || c.OutsideTolerance.Value.OK() || c.Pooled.OK())
			continue
		}
		assert.Equal(t, open.Expression[i].Cases, c.Cases)
		assert.GreaterOrEqual(t, c.Cases, 5, "a small cell is shown: %+v", c.By)
		s.group(c.By).add(s.vector(func(p part) bool { return inCell(c.By, p) }))
	}
	return s
}

func (s cellSums) group(by results.By) *basis {
	k := results.By{Axis: by.Axis, Course: by.Course}
	if s.groups[k] == nil {
		s.groups[k] = &basis{}
	}
	return s.groups[k]
}

func (s cellSums) vector(holds func(part) bool) []float64 {
	v := make([]float64, len(s.index))
	for p, i := range s.index {
		if holds(p) {
			v[i] = 1
		}
	}
	return v
}

// rest is what the shown cells of the same axis and course leave open of some parts:
// zero where their sum can be worked out.
func (s cellSums) rest(by results.By, holds func(part) bool) float64 {
	_, left := s.group(by).rest(s.vector(holds))
	return left
}

type unrecordedCell struct {
	results.By
	cases int
}

// unrecordedCells counts the cases of movements without a style, tooth by
// tooth and over all teeth of an axis and course.
func unrecordedCells(ds *casebook.Dataset) []unrecordedCell {
	cases := map[results.By]map[string]bool{}
	for _, m := range ds.Movements {
		p := partOf(m)
		if m.Style != casebook.NoStyle || !counts(m) {
			continue
		}
		for _, by := range []results.By{
			{Axis: m.Axis, Course: p.course},
			{Axis: m.Axis, Course: p.course, Tooth: m.Tooth},
			{Axis: m.Axis, Course: p.course, ToothClass: m.Tooth.Class()},
			{Axis: m.Axis, Course: p.course, Direction: p.direction},
		} {
			if cases[by] == nil {
				cases[by] = map[string]bool{}
			}
			cases[by][m.Case.ID] = true
		}
	}
	var out []unrecordedCell
	for by, ids := range cases {
		out = append(out, unrecordedCell{by, len(ids)})
	}
	return out
}

// TestMeanAndBars: with the mean, the number of cases and all bars but two,
// both of these could be solved for; here the last bar holds one case.
func TestMeanAndBars(t *testing.T) {
	for _, n := range []map[int]int{{0: 8, 1: 7, 2: 6, 3: 1}, {0: 2, 1: 9, 2: 9, 3: 9}, {0: 9, 1: 3, 2: 9, 3: 9}} {
		r := mustRun(t, casesWithRefinements(n, casebook.ClinicianDesigned), func(s *results.Settings) { s.Shared = true }).Refinements
		known := &basis{}
		known.add([]float64{1, 1, 1, 1}) // the number of cases
		if r.Mean.Value.OK() {
			known.add([]float64{0, 1, 2, 3})
		}
		if r.AtLeastOne.Value.OK() {
			known.add([]float64{0, 1, 1, 1})
		}
		for k, b := range r.Distribution[:4] {
			if !b.Suppressed {
				v := make([]float64, 4)
				v[k] = 1
				known.add(v)
			}
		}
		for k := range 4 {
			if n[k] < 5 {
				v := make([]float64, 4)
				v[k] = 1
				_, left := known.rest(v)
				assert.Greater(t, left, 1e-6, "%v: bar %d can be worked out", n, k)
			}
		}
	}
}

// counts reports whether a movement enters a ratio under the default settings.
func counts(m casebook.Movement) bool {
	smallest := 0.2
	if m.Axis.Unit() == casebook.Degree {
		smallest = 2
	}
	return m.Achieved.OK && math.Abs(m.Planned) >= smallest
}

// TestWithheldArm: a comparison never shows what a withheld arm would tell.
func TestWithheldArm(t *testing.T) {
	for seed := uint64(1); seed <= uint64(audittest.Everyday(4, 2)); seed++ {
		r := mustRun(t, invented(seed, 30), func(s *results.Settings) { s.Shared = true })
		shown := map[results.By]bool{}
		for _, c := range r.Expression {
			shown[c.By] = !c.Suppressed
		}
		for _, c := range r.Comparisons {
			ok := true
			for _, a := range c.Arms {
				by := c.By
				by.Style = a.Style
				ok = ok && shown[by]
			}
			if !ok {
				assert.False(t, c.Unadjusted.Difference.OK() || c.Adjusted.Difference.OK() || c.Arms[0].Expression.OK() || c.Arms[1].Expression.OK())
				assert.Zero(t, c.Arms[0].Cases+c.Arms[1].Cases)
				assert.Empty(t, c.Reading)
				assert.Empty(t, c.Balance)
				assert.True(t, hasWarning(c.Warnings, "withheld"))
			}
		}
	}
}

// TestSmallBarsWithheld: two of the five bars hold one and two cases. Showing
// any one of them with the number of cases, the mean or the share without a
// refinement would give the rest away.
func TestSmallBarsWithheld(t *testing.T) {
	ds := casesWithRefinements(map[int]int{0: 8, 1: 7, 2: 6, 3: 1, 4: 2}, casebook.SoftwareSuggested)
	open := mustRun(t, ds, nil).Refinements
	assert.Equal(t, 24, open.Cases)
	assert.InDelta(t, (7+12+3+8)/24.0, float64(open.Mean.Value), 1e-12)
	r := mustRun(t, ds, func(s *results.Settings) { s.Shared = true }).Refinements
	hidden, lowest := 0, 0
	for i, b := range r.Distribution {
		if b.Suppressed {
			hidden++
			assert.False(t, b.Share.Value.OK())
			assert.Zero(t, b.Cases)
			assert.Zero(t, b.Share.Numerator)
			if open.Distribution[i].Cases < 5 {
				lowest++
			}
		}
	}
	assert.Equal(t, 2, lowest)
	assert.GreaterOrEqual(t, hidden, 3, "a bar of five or more cases must hide the small ones")
	// "4+" may be any number, so the mean alone gives nothing away.
	assert.True(t, r.Mean.Value.OK())
}
