package audit_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// smallSettings let a toy have intervals.
func smallSettings(s *results.Settings) { s.MinIntervalCases, s.SmallestMM = 2, 0.05 }

// toy is eleven movements of four patients; the teeth differ so that no key
// repeats.
func toy() *casebook.Dataset {
	patient := []string{"1", "1", "1", "2", "2", "3", "3", "3", "3", "4", "4"}
	planned := []float64{2, 3, 1.5, 4, 2, 1, 2.5, 3, 2, 5, 1}
	achieved := []float64{1.2, 1.5, 1, 2.8, 1.6, .3, 1, 1.6, .9, 4, .9}
	var out []casebook.Movement
	for i := range planned {
		out = append(out, move(patient[i], casebook.Tooth(11+i%7), casebook.Vertical, planned[i], achieved[i], casebook.NoStyle))
	}
	return logged(out...)
}

// TestToyAgainstR: testdata/style.R, R 4.2.2, clubSandwich 0.5.8:
// A/P on 1 with weights P and A - P on 1, CR2 by patient; the ratio, the mean of ratios and the sums by hand.
func TestToyAgainstR(t *testing.T) {
	c := cellOf(t, mustRun(t, toy(), smallSettings), results.By{Axis: casebook.Vertical, Course: results.Initial})
	assert.Equal(t, 4, c.Cases)
	assert.Equal(t, 11, c.Movements)
	assert.InDelta(t, 27, float64(c.PlannedTotal), 1e-12)
	assert.InDelta(t, 16.8, float64(c.AchievedTotal), 1e-12)
	assert.InDelta(t, 0.622222222222, float64(c.Estimate), 1e-10)
	assert.InDelta(t, 0.0885255231178, float64(c.SE), 1e-10)
	assert.InDelta(t, 2.92315859845, float64(c.DF), 1e-8)
	// With every movement taken as independent the error is 0.0525996118:
	// sqrt(11/10 sum (A - R P)^2) / 27.
	assert.InDelta(t, 0.0885255231178*0.0885255231178/(0.0525996118*0.0525996118), float64(c.DesignEffect), 1e-6)
	assert.InDelta(t, 0.336258182454, float64(c.Low), 1e-8)
	assert.InDelta(t, 0.90818626199, float64(c.High), 1e-8)
	assert.InDelta(t, -0.927272727273, float64(c.MeanDifference.Value), 1e-10)
	assert.InDelta(t, 0.927272727273, float64(c.MeanShortfall), 1e-10)
	assert.InDelta(t, 0.138423594209, float64(c.MeanDifference.SE), 1e-9)
	assert.InDelta(t, 2.71291866029, float64(c.MeanDifference.DF), 1e-8)
	assert.InDelta(t, -1.39538129766, float64(c.MeanDifference.Low), 1e-8)
	assert.InDelta(t, 0.927272727273, float64(c.MeanAbsError), 1e-10)
	assert.InDelta(t, 60.454545454545, float64(c.PercentF2), 1e-9)
	assert.InDelta(t, 0.651533742331, float64(c.Slope), 1e-10)
	assert.InDelta(t, 0.475, float64(c.LowerQuartile), 1e-12)
	assert.InDelta(t, 0.6, float64(c.MedianRatio), 1e-12)
	assert.InDelta(t, 0.75, float64(c.UpperQuartile), 1e-12)
	assert.Equal(t, 8, c.OutsideTolerance.Numerator) // |A - P| > 0.5 mm
	assert.Equal(t, 11, c.OutsideTolerance.Denominator)
}

// TestSixStories: P = 0.1, 2, 2 and A = 0.3, 1, 1 mm give six different
// accuracies by the published formulas (computed by hand): ratio of sums 2.3 /
// 4.1, F2 mean of (-100, 50, 50), slope 4.03 / 8.01, A - P mean -1.8 / 3, mean
// absolute 2.2 / 3.
func TestSixStories(t *testing.T) {
	ds := logged(
		move("a", 11, casebook.Vertical, 0.1, 0.3, casebook.NoStyle),
		move("b", 12, casebook.Vertical, 2, 1, casebook.NoStyle),
		move("c", 13, casebook.Vertical, 2, 1, casebook.NoStyle))
	by := results.By{Axis: casebook.Vertical, Course: results.Initial}
	c := cellOf(t, mustRun(t, ds, smallSettings), by)
	assert.InDelta(t, 0.5610, float64(c.Estimate), 5e-5)
	assert.InDelta(t, 0, float64(c.PercentF2), 1e-9)
	assert.InDelta(t, 0.5031, float64(c.Slope), 5e-5)
	assert.InDelta(t, -0.6, float64(c.MeanDifference.Value), 1e-12)
	assert.InDelta(t, 0.7333, float64(c.MeanAbsError), 5e-5)

	// The default smallest plan of 0.2 mm keeps the first out of every ratio.
	r := mustRun(t, ds, nil)
	c = cellOf(t, r, by)
	assert.Equal(t, 2, c.Movements)
	assert.InDelta(t, 0.5, float64(c.Estimate), 1e-12)
	require.Len(t, r.Unplanned, 1)
	assert.Equal(t, 1, r.Unplanned[0].Movements)
	assert.InDelta(t, 0.3, float64(r.Unplanned[0].MeanAbs), 1e-12)
	assert.Zero(t, r.Unplanned[0].Outside.Numerator)
}

// TestAlongThePlan: achieved counts along the planned direction, whatever its
// sign; the axis margin adds both directions.
func TestAlongThePlan(t *testing.T) {
	ds := logged(
		move("a", 11, casebook.Vertical, -2, -1, casebook.NoStyle),  // intrusion, half
		move("b", 11, casebook.Vertical, -2, 0.5, casebook.NoStyle), // the wrong way
		move("c", 11, casebook.Vertical, 1, 1.5, casebook.NoStyle))  // extrusion, overshoot
	r := mustRun(t, ds, nil)
	in := cellOf(t, r, results.By{Axis: casebook.Vertical, Direction: casebook.Intrusion, Course: results.Initial})
	assert.InDelta(t, 0.125, float64(in.Estimate), 1e-12)
	assert.InDelta(t, 1.75, float64(in.MeanShortfall), 1e-12)
	out := cellOf(t, r, results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, Course: results.Initial})
	assert.InDelta(t, 1.5, float64(out.Estimate), 1e-12)
	assert.InDelta(t, -0.5, float64(out.MeanShortfall), 1e-12)
	both := cellOf(t, r, results.By{Axis: casebook.Vertical, Course: results.Initial})
	assert.InDelta(t, 2.0/5, float64(both.Estimate), 1e-12)
	assert.Equal(t, 2, both.OutsideTolerance.Numerator) // shortfalls 1, 2.5, -0.5: tolerance itself is inside
}

// styleData reads testdata/style.csv: premolar rotations of 30 cases.
func styleData(t *testing.T) *casebook.Dataset {
	t.Helper()
	f, err := os.Open("testdata/style.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	ds := &casebook.Dataset{}
	for _, l := range lines[1:] {
		if n := len(ds.Cases); n == 0 || ds.Cases[n-1].ID != l[0] {
			wear, err := casebook.ParseWear(l[1])
			require.NoError(t, err)
			ds.Cases = append(ds.Cases, casebook.Case{ID: l[0], Status: casebook.Completed, Wear: wear, AgeBand: casebook.AgeBand(number(t, l[2]))})
		}
		style := casebook.SoftwareSuggested
		if l[6] == "1" {
			style = casebook.ClinicianDesigned
		}
		ds.Movements = append(ds.Movements, move(l[0], casebook.Tooth(number(t, l[3])), casebook.Rotation, number(t, l[4]), number(t, l[5]), style))
	}
	return ds
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

// TestStyleDifferenceAgainstR: testdata/style.R, R 4.2.2, clubSandwich 0.5.8, the
// three readings, weights planned, CR2 by case: y ~ clin; y ~ planned + square +
// distal + upper + age + clin; the same without age, with the side, every tooth
// apart and a level for every case.
func TestStyleDifferenceAgainstR(t *testing.T) {
	c := comparisonOf(t, mustRun(t, styleData(t), nil), results.By{
		Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: results.Initial,
	})
	assert.Equal(t, 27, c.Arms[0].Cases)
	assert.Equal(t, 26, c.Arms[1].Cases)
	check := func(d results.Difference, value, se, df, low, high, p float64) {
		t.Helper()
		assert.InDelta(t, value, float64(d.Difference), 1e-10)
		assert.InDelta(t, se, float64(d.SE), 1e-10)
		assert.InDelta(t, df, float64(d.DF), 1e-7)
		assert.InDelta(t, low, float64(d.Low), 1e-9)
		assert.InDelta(t, high, float64(d.High), 1e-9)
		assert.InDelta(t, p, float64(d.P), 1e-9)
	}
	raw, apart, same := c.Readings[0], c.Readings[1], c.Readings[2]
	assert.Equal(t, []string{results.UnadjustedReading, results.BetweenPatients, results.SameMouthReading}, []string{raw.ID, apart.ID, same.ID})
	check(raw.Difference, -0.0502021595586, 0.0322078006986, 25.9398744138, -0.116413711397, 0.0160093922795, 1.31186723029e-01)
	check(apart.Difference, -0.078011223792581, 0.031090622479918, 21.85361490171, -0.142514278991903, -0.013508168593259, 2.00208064369e-02)
	check(same.Difference, -0.065148489413850, 0.033923818049194, 16.49382824505, -0.136889174410930, 0.006592195583228, 7.22645840962e-02)
	assert.Equal(t, []string{"planned amount", "planned amount squared", "tooth within class", "arch", "age band"}, apart.Adjusters)
	assert.Equal(t, []string{"planned amount", "planned amount squared", "arch", "tooth within class", "side", "tooth"}, same.Adjusters)
	assert.Equal(t, [3]int{30, 23, 90}, [3]int{same.Cases, same.Contributing, same.Movements})
	assert.InDelta(t, -0.065148489413850*13.096666666667, float64(same.InUnit.Value), 1e-9)
	// The verdict rests on the same-mouth one; the arms are drawn about its middle.
	check(c.Adjusted, -0.065148489413850, 0.033923818049194, 16.49382824505, -0.136889174410930, 0.006592195583228, 7.22645840962e-02)
	assert.InDelta(t, 0.399592771698, float64(c.Arms[0].AdjustedRatio+c.Arms[1].AdjustedRatio)/2, 1e-10)
	assert.InDelta(t, float64(c.Adjusted.Difference), float64(c.Arms[1].AdjustedRatio-c.Arms[0].AdjustedRatio), 1e-12)
	require.Equal(t, "planned amount", c.Balance[0].Covariate)
	assert.InDelta(t, -0.755885936946, float64(c.Balance[0].SMD), 1e-10)
	// The unadjusted difference is that of the two ratios of sums, exactly.
	assert.InDelta(t, float64(c.Arms[1].Expression-c.Arms[0].Expression), float64(c.Unadjusted.Difference), 1e-12)
	assert.Equal(t, results.NotDistinguishable, c.Verdict)
	assert.Equal(t, "within-chance", c.Reason)
}

// TestPlanIsTakenAsGiven: ten cases, one movement each, are the data set "city" of the
// R package boot (Davison & Hinkley 1997, Bootstrap Methods, table 1.3; population 1920
// and 1930), whose totals differ so much that Fieller's limits would be 1.19596 and
// 2.46138. The interval is CR2's all the same: R 4.2.2, clubSandwich 0.5.8, coef_test of
// lm(A/sqrt(P) ~ 0 + sqrt(P)), Satterthwaite 4.97743 df; it says that it has few.
func TestPlanIsTakenAsGiven(t *testing.T) {
	planned := []float64{138, 93, 61, 179, 48, 37, 29, 23, 30, 2}
	achieved := []float64{143, 104, 69, 260, 75, 63, 50, 48, 111, 50}
	var out []casebook.Movement
	for i := range planned {
		out = append(out, move(string(rune('a'+i)), 11, casebook.Rotation, planned[i], achieved[i], casebook.NoStyle))
	}
	c := cellOf(t, mustRun(t, logged(out...), nil), results.By{Axis: casebook.Rotation, Course: results.Initial})
	assert.InDelta(t, 1.5203125, float64(c.Estimate), 1e-9)
	assert.InDelta(t, 0.192106931939, float64(c.SE), 1e-11)
	assert.InDelta(t, 4.977430404024, float64(c.DF), 1e-9)
	assert.InDelta(t, 1.02581164893, float64(c.Low), 1e-9)
	assert.InDelta(t, 2.01481335107, float64(c.High), 1e-9)
	assert.Contains(t, c.Method, "CR2")
	var ids []string
	for _, w := range c.Warnings {
		ids = append(ids, w.ID)
	}
	assert.Contains(t, ids, "few-df")
	assert.NotContains(t, ids, "uncertain-denominator")
}

// TestPooledTeethAgainstR: testdata/style.R, R 4.2.2, lme4 1.1-31:
// coef(lmer(y ~ 1 + (1 | tooth), weights = planned)).
func TestPooledTeethAgainstR(t *testing.T) {
	r := mustRun(t, styleData(t), nil)
	for tooth, want := range map[casebook.Tooth]float64{
		14: 0.408272448049, 15: 0.413865618611, 24: 0.417871034807, 25: 0.406350371438,
		34: 0.411647535458, 35: 0.406636726531, 44: 0.410746775955, 45: 0.403792535211,
	} {
		c := cellOf(t, r, results.By{Axis: casebook.Rotation, Tooth: tooth, Course: results.Initial})
		assert.InDelta(t, want, float64(c.Pooled), 1e-5, "%v", tooth)
	}
}
