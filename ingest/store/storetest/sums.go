package storetest

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

var sumsOf = casebook.SumsOf{SmallestMM: 0.2, SmallestDeg: 2, ToleranceMM: 0.5, ToleranceDeg: 2, MinAlignersUsed: 0.9}

// The sums of a database are those of its movements, one by one: plans of both signs, at
// the smallest amount and at the tolerance, without outcome or style, of courses cut
// short and of cases taken out.
func (im Implementation) testSumsAreThoseOfTheMovements(t *testing.T) {
	ctx, db := context.Background(), im.Create(t)
	b := Practice("sums", 9, 40)
	for i := range b.Movements {
		m := &b.Movements[i].Value
		m.Case.Practice = "P1"
		switch i % 9 {
		case 0:
			m.Planned, m.Achieved.Value = -m.Planned, -m.Achieved.Value
		case 1:
			m.Achieved = casebook.Opt[float64]{}
		case 2:
			m.Style = casebook.NoStyle
		case 3:
			m.Planned, m.Achieved.Value = 1.1, 0.6 // inside: 0.5 on paper
		case 4:
			m.Planned, m.Achieved.Value = 0.2, -0.4
		case 5:
			m.Planned, m.Achieved.Value = 0, 0.3
		case 6:
			m.Planned, m.Achieved.Value = -2.55, 0.01
		}
	}
	for i := range b.Courses {
		k := &b.Courses[i].Value
		k.Case.Practice = "P1"
		k.AlignersPlanned, k.AlignersUsed = casebook.Some(10), casebook.Some(8+i%4)
	}
	MustImport(t, db, b)
	require.NoError(t, db.RemoveCase(ctx, casebook.CaseKey{ID: "C-00003", Practice: "P1"}, "test"))
	got, err := db.Sums(ctx, sumsOf)
	require.NoError(t, err)
	ds := MustLoad(t, db)
	want := oneByOne(ds)
	require.Len(t, got.Cases, len(want))
	total := 0
	for _, g := range got.Cases {
		amounts := func(s casebook.Sum) []float64 {
			return []float64{s.Planned, s.Achieved, s.Error, s.Miss, s.Product, s.Square}
		}
		key := keyOfSum(g)
		w, ok := want[key]
		require.True(t, ok, "%+v", key)
		assert.InDeltaSlice(t, amounts(w), amounts(g), 1e-9)
		counts := func(s casebook.Sum) [4]int { return [4]int{s.Movements, s.Judged, s.Outside, s.SmallOutside} }
		assert.Equal(t, counts(w), counts(g), "%+v", key)
		total += g.Movements
	}
	assert.True(t, slices.IsSortedFunc(got.Cases, func(a, b casebook.Sum) int { return a.Case.Compare(b.Case) }))
	assert.Greater(t, total, 200)
	checkQuartiles(t, ds, got.Quartiles)
}

func keyOfSum(s casebook.Sum) casebook.Sum {
	return casebook.Sum{Case: s.Case, Again: s.Again, Tooth: s.Tooth, Axis: s.Axis, Direction: s.Direction, Style: s.Style}
}

// oneByOne sums the movements up, and leaves out what the question leaves out.
func oneByOne(ds *casebook.Dataset) map[casebook.Sum]casebook.Sum {
	out := map[casebook.Sum]casebook.Sum{}
	for _, m := range measured(ds) {
		p, a := along(&m)
		tolerance := sumsOf.ToleranceMM
		if m.Axis.Unit() == casebook.Degree {
			tolerance = sumsOf.ToleranceDeg
		}
		key := casebook.Sum{Case: m.Case, Again: m.Course > 1, Tooth: m.Tooth, Axis: m.Axis, Direction: m.Direction(), Style: m.Style}
		s, ok := out[key]
		if !ok {
			s = key
		}
		s.Movements++
		s.Planned, s.Achieved = s.Planned+p, s.Achieved+a
		s.Error, s.Miss = s.Error+math.Abs(a-p), s.Miss+math.Abs(p-a)/p
		s.Product, s.Square = s.Product+p*a, s.Square+p*p
		outside := math.Abs(a-p) > tolerance+1e-6
		switch {
		case p > tolerance+1e-6:
			s.Judged++
			if outside {
				s.Outside++
			}
		case outside:
			s.SmallOutside++
		}
		out[key] = s
	}
	return out
}

// measured are the movements that count.
func measured(ds *casebook.Dataset) (out []casebook.Movement) {
	short := map[casebook.CourseKey]bool{}
	for _, k := range ds.Courses {
		short[k.Key()] = k.AlignersUsed.Value < 9
	}
	for _, m := range ds.Movements {
		smallest := sumsOf.SmallestMM
		if m.Axis.Unit() == casebook.Degree {
			smallest = sumsOf.SmallestDeg
		}
		if m.Achieved.OK && math.Abs(m.Planned) >= smallest && !short[casebook.CourseKey{Case: m.Case, Number: m.Course}] {
			out = append(out, m)
		}
	}
	return out
}

func along(m *casebook.Movement) (planned, achieved float64) {
	return math.Abs(m.Planned), math.Copysign(1, m.Planned) * m.Achieved.Value
}

// checkQuartiles compares with the definition: the order statistics around 1 + (n-1)p.
func checkQuartiles(t *testing.T, ds *casebook.Dataset, got []casebook.Quartiles) {
	t.Helper()
	type cell struct {
		again     bool
		direction casebook.Direction
	}
	ratios := map[cell][]float64{}
	for _, m := range measured(ds) {
		p, a := along(&m)
		c := cell{m.Course > 1, m.Direction()}
		ratios[c] = append(ratios[c], a/p)
	}
	require.Len(t, got, len(ratios))
	for _, q := range got {
		list := ratios[cell{q.Again, q.Direction}]
		slices.Sort(list)
		at := func(share float64) float64 {
			h := share * float64(len(list)-1)
			low := int(math.Floor(h))
			return list[low] + (h-math.Floor(h))*(list[min(low+1, len(list)-1)]-list[low])
		}
		assert.Equal(t, len(list), q.Movements)
		assert.InDeltaSlice(t, []float64{at(.25), at(.5), at(.75)}, []float64{q.Lower, q.Median, q.Upper}, 1e-9)
	}
}
