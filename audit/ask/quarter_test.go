package ask_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/quarter"
	"shortfall/audit/audittest"
	"shortfall/audit/intime"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// practice has cases under way at the end of its last quarter and the same truth in
// every month; change alters the records before they are cut off there.
func quarterPractice(seed uint64, change func(*casebook.Dataset, casebook.Month)) (*casebook.Dataset, results.Settings) {
	params := sampledata.Default()
	params.Cases, params.Months = 300, 30
	params.Freeze = params.FirstStart + 100
	ds, _ := sampledata.Generate(params, seed)
	s := results.DefaultSettings()
	s.Questions.HorizonMonths = 12
	s.Period.Quarter = (params.FirstStart + 26) / 3 * 3
	if change != nil {
		change(ds, s.Period.Quarter)
	}
	return ds, s
}

// slowResponders lets the courses of cases that respond poorly take up to three months
// longer: those that had ended early are then the quick ones, of the easy cases.
func slowResponders(ds *casebook.Dataset, _ casebook.Month) {
	planned, achieved := map[casebook.CaseKey]float64{}, map[casebook.CaseKey]float64{}
	for _, m := range ds.Movements {
		if m.Achieved.OK {
			planned[m.Case] += math.Abs(m.Planned)
			achieved[m.Case] += m.Direction().Sign() * m.Achieved.Value
		}
	}
	delay := func(k casebook.CaseKey) casebook.Month {
		switch r := achieved[k] / planned[k]; {
		case r < 0.45:
			return 3
		case r < 0.55:
			return 1
		}
		return 0
	}
	for i := range ds.Cases {
		if c := &ds.Cases[i]; c.End != 0 {
			c.End += 2 * delay(c.Key())
		}
	}
	for i := range ds.Courses {
		if c := &ds.Courses[i]; c.Start != 0 && c.Number > 1 {
			c.Start += delay(c.Case)
		}
	}
}

// undatedRefinements takes away when refinements began: the sets before them count in the
// month in which their case ended.
func undatedRefinements(ds *casebook.Dataset, _ casebook.Month) {
	for i := range ds.Courses {
		if ds.Courses[i].Number > 1 {
			ds.Courses[i].Start = 0
		}
	}
}

// most is how many of n are called by chance, each with the probability 0.05, in all but 1
// of 1,000 such tests: the binomial distribution.
func most(n int) int {
	const p = 0.05
	k, mass := 0, math.Pow(1-p, float64(n))
	for below := mass; below < 0.999; below += mass {
		mass *= float64(n-k) / float64(k+1) * p / (1 - p)
		k++
	}
	return k
}

// TestNothingChangedInTheQuarter: with constant truth and cases under way, anything is
// called a change in no more than 5 % of practices: of all together within what 95 of 100
// tests would give, and of each kind within what chance gives so few of them.
func TestNothingChangedInTheQuarter(t *testing.T) {
	n := audittest.Practices(t, 8)
	if !audittest.Long() {
		n = 1
	}
	var all, calledOfAll, uncorrectedOfAll int
	for name, change := range map[string]func(*casebook.Dataset, casebook.Month){
		"constant": nil, "poor responders take longer": slowResponders, "without months of refinements": undatedRefinements,
		"both": func(ds *casebook.Dataset, m casebook.Month) { slowResponders(ds, m); undatedRefinements(ds, m) },
	} {
		called, uncorrected, told, sum := 0, 0, 0, 0.0
		for seed := range uint64(n) {
			ds, s := quarterPractice(9100+seed, change)
			p, err := rows.Prepare(ds, s)
			require.NoError(t, err)
			a := quarter.Answer(p)
			any, plain := a.Refined != nil && a.Refined.Share.Changed, false
			for _, c := range a.Cells {
				any = any || c.Changed
				if c.Low.OK() {
					told++
					sum += float64(c.Change)
					plain = plain || c.P < 0.05
				}
			}
			called += measure.OneIf(any)
			uncorrected += measure.OneIf(plain)
		}
		t.Logf("%s: called in %d of %d, without correction %d; mean difference %.4f over %d cells", name, called, n, uncorrected, sum/float64(told), told)
		assert.Greater(t, told, 10*n)
		assert.LessOrEqual(t, called, most(n), name)
		all, calledOfAll, uncorrectedOfAll = all+n, calledOfAll+called, uncorrectedOfAll+uncorrected
	}
	assert.LessOrEqual(t, float64(calledOfAll), 0.05*float64(all)+1.96*math.Sqrt(0.05*0.95*float64(all)))
	assert.Greater(t, uncorrectedOfAll, all/4, "who corrects for nothing is fooled")
}

// TestAChangeIsFound: 25 points more in everything that ended in the quarter, and every
// case of its cohort refined.
func TestAChangeIsFound(t *testing.T) {
	ds, s := quarterPractice(1, nil)
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	better := map[casebook.MovementKey]bool{}
	for i := range p.Analysed {
		if r := &p.Analysed[i]; p.CourseEnd(r.Cluster, r.Movement.Course) >= s.Period.Quarter {
			better[r.Movement.Key()] = true
		}
	}
	for i := range ds.Movements {
		if m := &ds.Movements[i]; better[m.Key()] {
			m.Achieved.Value += 0.25 * m.Planned
		}
	}
	p, err = rows.Prepare(ds, s)
	require.NoError(t, err)
	a := quarter.Answer(p)
	found := 0
	for _, c := range a.Cells {
		found += measure.OneIf(c.Changed && c.Change > 0)
		assert.False(t, c.Changed && c.Change < 0)
	}
	assert.Greater(t, found, 5)
	assert.Contains(t, a.Sentences[len(a.Now.Achieved)], "more")

	// What the quarter achieved in all, counted apart from the code.
	require.Len(t, a.Now.Achieved, 2)
	for _, u := range a.Now.Achieved {
		got, planned, n, cases := 0.0, 0.0, 0, map[int]bool{}
		for i := range p.Analysed {
			r := &p.Analysed[i]
			if r.Unit() == u.Unit && r.First && p.CourseEnd(r.Cluster, r.Movement.Course) >= s.Period.Quarter {
				got, planned, n = got+r.Achieved, planned+r.Planned, n+1
				cases[r.Cluster] = true
			}
		}
		assert.InDelta(t, got/planned, float64(u.Spread.Value), 1e-9)
		assert.Equal(t, n, u.Movements)
		assert.Len(t, cases, u.Cases)
		assert.Less(t, u.Spread.Low, u.Spread.Value)
	}
	assert.Contains(t, a.Sentences[0], "millimetres in first sets")

	none := intime.Set(p, "now", func(*rows.Row) intime.Side { return intime.Now }, nil)
	assert.Zero(t, none.Before.Cases)
	assert.Zero(t, none.SharedCases)
}

// TestQuarterCountsWhatEnded: arms, cases in both and cohorts counted apart from the code.
func TestQuarterCountsWhatEnded(t *testing.T) {
	ds, s := quarterPractice(3, nil)
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	a := quarter.Answer(p)
	last := s.Period.Quarter + 2
	next := map[casebook.CourseKey]casebook.Month{}
	for _, c := range ds.Courses {
		next[casebook.CourseKey{Case: c.Case, Number: c.Number - 1}] = c.Start
	}
	start, end := map[casebook.CaseKey]casebook.Month{}, map[casebook.CaseKey]casebook.Month{}
	first := ds.Cases[0].Start
	for _, c := range ds.Cases {
		start[c.Key()], end[c.Key()] = c.Start, c.End
		first = min(first, c.Start)
	}
	var cases [2]map[casebook.CaseKey]bool
	longer := 0
	cases[0], cases[1] = map[casebook.CaseKey]bool{}, map[casebook.CaseKey]bool{}
	for i := range p.Analysed {
		m := p.Analysed[i].Movement
		e := next[casebook.CourseKey{Case: m.Case, Number: m.Course}]
		if e == 0 || e > last {
			e = end[m.Case]
		}
		require.True(t, e != 0 && e <= last)
		if e-start[m.Case] > s.Period.Quarter-first-3 { // none that took so long could have ended before
			require.GreaterOrEqual(t, e, s.Period.Quarter)
			longer++
			continue
		}
		cases[measure.OneIf(e >= s.Period.Quarter)][m.Case] = true
	}
	both := 0
	for k := range cases[0] {
		both += measure.OneIf(cases[1][k])
	}
	assert.Equal(t, [3]int{len(cases[0]), len(cases[1]), both}, [3]int{a.Before.Cases, a.Now.Cases, a.SharedCases})
	assert.Positive(t, both)
	require.Positive(t, longer)
	require.NotEmpty(t, a.Warnings)
	assert.Equal(t, "took-longer", a.Warnings[0].ID)
	assert.Contains(t, a.Warnings[0].Text, fmt.Sprint(longer, "\u00a0movements of "))
	assert.Equal(t, s.Period.Quarter-12, a.Refined.Now.From)
	assert.Equal(t, last-12, a.Refined.Now.To)
	assert.Less(t, a.Refined.Before.To, s.Period.Quarter-12)
}

// TestBaselineOfTwoProtocols is refused, with the dates; one that begins with the change
// is not.
func TestBaselineOfTwoProtocols(t *testing.T) {
	ds, s := quarterPractice(1, nil)
	change := s.Period.Quarter - 7
	s.Questions.Criteria = &results.Criteria{Version: 1, Changes: []results.ProtocolChange{{Month: change, Description: "sequenced"}}}
	_, err := rows.Prepare(ds, s)
	var why *rows.PeriodError
	require.ErrorAs(t, err, &why)
	assert.Contains(t, why.Text, change.String()+" (sequenced)")
	assert.Contains(t, why.Text, "--from "+change.String())
	s.Period.From = change
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	a := quarter.Answer(p)
	assert.Equal(t, change, a.Before.From)
	require.NotEmpty(t, a.Warnings)
	assert.Equal(t, "begun-before-change", a.Warnings[len(a.Warnings)-1].ID)
	s.Period.From = 0
	s.Questions.Criteria.Changes[0].Month = s.Period.Quarter // everything before it is of one protocol
	_, err = rows.Prepare(ds, s)
	require.NoError(t, err)
}

// TestQuarterWithoutMonths counts everything as it is and says so.
func TestQuarterWithoutMonths(t *testing.T) {
	ds, s := quarterPractice(1, nil)
	for i := range ds.Cases {
		ds.Cases[i].Start, ds.Cases[i].End = 0, 0
	}
	for i := range ds.Courses {
		ds.Courses[i].Start = 0
	}
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	a := quarter.Answer(p)
	assert.Empty(t, a.Cells)
	assert.Contains(t, a.Sentences[0], "No month is on record")
	assert.NotEmpty(t, p.FinishedCases())
}

// TestQuarterWithholdsSmallParts: nothing of fewer than five cases is left.
func TestQuarterWithholdsSmallParts(t *testing.T) {
	q := quarter.Question()
	for seed := range uint64(6) {
		params := sampledata.Default()
		params.Cases, params.Months = 25+10*int(seed), 24
		ds, _ := sampledata.Generate(params, seed)
		s := results.DefaultSettings()
		s.Shared, s.Questions.HorizonMonths = true, 9
		s.Period.Quarter = (params.FirstStart + 17) / 3 * 3
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		r := &results.Results{}
		require.NoError(t, q.Answer(context.Background(), p, r))
		q.Withhold(p, r)
		a := r.Questions.Quarter
		assert.Empty(t, a.Now.Achieved)
		assert.Empty(t, a.Before.Achieved)
		for _, c := range a.Cells {
			assert.GreaterOrEqual(t, min(c.CasesBefore, c.CasesAfter), 5)
		}
		for _, n := range []int{a.Now.Cases, a.Before.Cases, a.SharedCases, a.Now.Cases - a.SharedCases} {
			assert.True(t, n == 0 || n >= 5, n)
		}
		if r := a.Refined; r != nil {
			x := float64(r.Share.After) * float64(r.Now.Cases)
			assert.True(t, x > 4.5 && float64(r.Now.Cases)-x > 4.5 || r.Now.Cases == 0)
		}
	}
}
