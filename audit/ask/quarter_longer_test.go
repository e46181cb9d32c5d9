package ask_test

import (
	"cmp"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/quarter"
	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// tempo gives the months of an initial course and of a refinement for a patient of a
// rank from 0, who responds worst, to 1.
type tempo func(rng *rand.Rand, rank float64) (initial, refinement int)

// tempos in which poor responders take longer.
var tempos = map[string]tempo{
	"six months longer, by degrees": func(rng *rand.Rand, rank float64) (int, int) {
		d := int(math.Round(6 * (1 - rank)))
		return 8 + rng.IntN(3) + d, 4 + rng.IntN(3) + d
	},
	"the worst quarter six months longer": func(rng *rand.Rand, rank float64) (int, int) {
		d := 6 * measure.OneIf(rank < 0.25)
		return 8 + rng.IntN(3) + d, 4 + rng.IntN(3) + d
	},
	initialOnly: func(rng *rand.Rand, rank float64) (int, int) {
		return 8 + rng.IntN(3) + int(math.Round(6*(1-rank))), 4 + rng.IntN(3)
	},
	"twelve months longer, scattered": func(rng *rand.Rand, rank float64) (int, int) {
		d := int(math.Round(12 * (1 - rank)))
		return 4 + rng.IntN(10) + d, 3 + rng.IntN(6) + d/2
	},
}

const initialOnly = "six months longer in initial courses alone"

// young is a practice whose records began so many months ago, of the same truth in every
// month, with the tempo of its patients; the quarter gains so much.
func young(t *testing.T, seed uint64, perMonth, months int, of tempo, gain float64) *rows.Set {
	t.Helper()
	p := simulate.New(perMonth*months, 0.25, 0.5, 0.05)
	p.Refinements = true
	ds := p.Make(seed)
	first := casebook.NewMonth(2023, 1)
	setTempo(ds, rand.New(rand.NewPCG(seed, 99)), first, months, of)
	s := results.DefaultSettings()
	s.Questions.HorizonMonths = 12
	s.Period.Quarter = (first + casebook.Month(months) - 3) / 3 * 3
	set, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	for i := range set.Analysed {
		if r := &set.Analysed[i]; set.CourseEnd(r.Cluster, r.Movement.Course) >= s.Period.Quarter {
			r.Achieved += gain * r.Planned
		}
	}
	return set
}

// setTempo starts the cases over the months and ends their courses by their rank among
// the initial results.
func setTempo(ds *casebook.Dataset, rng *rand.Rand, first casebook.Month, months int, of tempo) {
	achieved, planned := map[casebook.CaseKey]float64{}, map[casebook.CaseKey]float64{}
	for _, m := range ds.Movements {
		if m.Course == 1 && m.Achieved.OK {
			achieved[m.Case] += m.Direction().Sign() * m.Achieved.Value
			planned[m.Case] += math.Abs(m.Planned)
		}
	}
	order := make([]int, len(ds.Cases))
	for i := range order {
		order[i] = i
	}
	result := func(i int) float64 { return achieved[ds.Cases[i].Key()] / planned[ds.Cases[i].Key()] }
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(result(a), result(b)) })
	second := map[casebook.CaseKey]int{}
	for i, c := range ds.Courses {
		if c.Number == 2 {
			second[c.Case] = i
		}
	}
	for rank, i := range order {
		c := &ds.Cases[i]
		initial, refinement := of(rng, float64(rank)/float64(len(order)))
		c.Start = first + casebook.Month(rng.IntN(months))
		c.End = c.Start + casebook.Month(initial)
		if k, ok := second[c.Key()]; ok {
			ds.Courses[k].Start = c.End
			c.End += casebook.Month(refinement)
		}
	}
	for i := range ds.Courses {
		if ds.Courses[i].Number == 1 {
			ds.Courses[i].Start = 0 // that of the case
		}
	}
}

func anyChange(t *results.InTime) (called bool, told int) {
	for i := range t.Cells {
		called = called || t.Cells[i].Changed
		told += measure.OneIf(t.Cells[i].Low.OK())
	}
	return called || t.Refined != nil && t.Refined.Share.Changed, told
}

// TestWhoTakesLongerIsNoChange: records that began lately hold the quick courses only,
// which are those of the patients who respond well. The long form:
//
//	SHORTFALL_PRACTICES=400 go test ./audit/ask/quarter -run TakesLonger -v -timeout 1h
func TestWhoTakesLongerIsNoChange(t *testing.T) {
	if !audittest.Long() {
		t.Skip("with SHORTFALL_LONG=1: everyday one large practice shows what these small ones would")
	}
	n := audittest.Practices(t, 3)
	sum, of := 0, 0
	for _, name := range slices.Sorted(maps.Keys(tempos)) {
		for _, months := range []int{18, 24, 36} {
			called, told := 0, 0
			for seed := range uint64(n) {
				c, cells := anyChange(quarter.Answer(young(t, seed+1, 15, months, tempos[name], 0)))
				called, told = called+measure.OneIf(c), told+cells
			}
			t.Logf("%s, records of %d months: called %.1f %%, %.1f kinds compared", name, months, 100*float64(called)/float64(n), float64(told)/float64(n))
			if sum, of = sum+called, of+n; n >= 100 {
				assert.LessOrEqual(t, prop.Wilson(called, n, 0.95).Low, 0.05, "%s, %d months", name, months)
			}
		}
	}
	assert.LessOrEqual(t, prop.Wilson(sum, of, 0.95).Low, 0.05)
}

// TestLargePracticeWhereInitialCoursesTakeLonger: in so many cases the bias shows at
// once where refinements are compared by their own length, and not by the time from the
// start of treatment.
func TestLargePracticeWhereInitialCoursesTakeLonger(t *testing.T) {
	a := quarter.Answer(young(t, 1, 80, 24, tempos[initialOnly], 0))
	refinements := 0
	for _, c := range a.Cells {
		assert.False(t, c.Changed, "%v %v", c.By, c.Change)
		if c.Low.OK() && c.By.Course == results.Refinement {
			refinements++
			assert.Contains(t, c.Adjusters, "months from the start of treatment")
		}
	}
	assert.Positive(t, refinements)
}

// TestAChangeIsFoundWhereSomeTakeLonger: the power that is left, at several ages of the
// records.
func TestAChangeIsFoundWhereSomeTakeLonger(t *testing.T) {
	n := audittest.Practices(t, 3)
	for _, x := range []struct {
		months  int
		gain    float64
		atLeast float64
	}{{18, 0.2, 0.5}, {24, 0.2, 0.7}, {36, 0.2, 0.9}, {36, 0.1, 0.2}} {
		found := 0
		for seed := range uint64(n) {
			c, _ := anyChange(quarter.Answer(young(t, seed+1, 15, x.months, tempos["six months longer, by degrees"], x.gain)))
			found += measure.OneIf(c)
		}
		t.Logf("%.0f points more in the quarter, records of %d months: found %.1f %%", 100*x.gain, x.months, 100*float64(found)/float64(n))
		assert.GreaterOrEqual(t, prop.Wilson(found, n, 0.95).High, x.atLeast)
	}
}

// TestStartNotOnRecord: without it nothing is called, and the page says why.
func TestStartNotOnRecord(t *testing.T) {
	set := young(t, 1, 15, 30, tempos[initialOnly], 0.5)
	ds := set.Dataset
	for i := range ds.Cases {
		ds.Cases[i].Start = 0
	}
	set, err := rows.Prepare(ds, set.Settings)
	require.NoError(t, err)
	for i := range set.Analysed {
		if r := &set.Analysed[i]; set.CourseEnd(r.Cluster, r.Movement.Course) >= set.Settings.Period.Quarter {
			r.Achieved += r.Planned
		}
	}
	told := 0
	for _, c := range quarter.Answer(set).Cells {
		assert.False(t, c.Changed)
		if c.Low.OK() {
			told++
			require.NotEmpty(t, c.Warnings)
			assert.Equal(t, "length-not-known", c.Warnings[0].ID)
		}
	}
	assert.Positive(t, told)
}
