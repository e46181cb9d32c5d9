package values

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

func ruleOf(err error) rules.ID {
	f, _ := errors.AsType[Fail](err)
	return f.Rule
}

func TestAmounts(t *testing.T) {
	for _, c := range []struct {
		text string
		dec  Decimal
		want float64
		unit casebook.Unit
		word string
	}{
		{"1.5", 0, 1.5, 0, ""},
		{"-1.5", '.', -1.5, 0, ""},
		{"\u22121,5 mm*", 0, -1.5, casebook.Millimetre, ""},
		{"\u20131.5", 0, -1.5, 0, ""},
		{"(2)", 0, -2, 0, ""},
		{"(1,25 mm)", 0, -1.25, casebook.Millimetre, ""},
		{"12°", 0, 12, casebook.Degree, ""},
		{"12 º", 0, 12, casebook.Degree, ""},
		{"1.5mm", 0, 1.5, casebook.Millimetre, ""},
		{"3 deg.", 0, 3, casebook.Degree, ""},
		{"2.0 I", 0, 2, 0, "I"},
		{"2.0 mm intrusion", 0, 2, casebook.Millimetre, "intrusion"},
		{"E 2,0", 0, 2, 0, "E"},
		{"+ 4", 0, 4, 0, ""},
		{"\u00a01\u00a0", 0, 1, 0, ""},
		{".5", 0, 0.5, 0, ""},
		{"12.", 0, 12, 0, ""},
		{"1,250", ',', 1.25, 0, ""},
		{"1,250", '.', 1250, 0, ""},
		{"1.250", ',', 1250, 0, ""},
		{"1.250", '.', 1.25, 0, ""},
		{"0,250", 0, 0.25, 0, ""},
		{"1.234,5", 0, 1234.5, 0, ""},
		{"1,234.5", 0, 1234.5, 0, ""},
		{"1,234,567", 0, 1234567, 0, ""},
	} {
		a, err := ParseAmount(c.text, c.dec)
		if assert.NoError(t, err, c.text) {
			assert.Equal(t, c.want, a.Value, c.text)
			assert.Equal(t, c.unit, a.Unit, c.text)
			assert.Equal(t, c.word, a.Word, c.text)
			exact, _ := a.Rat().Float64()
			assert.Equal(t, c.want, exact, c.text)
		}
	}
	for text, want := range map[string]rules.ID{
		"": rules.NumberUnreadable, "-": rules.NumberUnreadable, "abc": rules.NumberUnreadable, "1 2": rules.NumberUnreadable,
		"1,250": rules.NumberAmbiguous, "(-2)": rules.NumberUnreadable, "2 in": rules.UnitUnknown, "3\"": rules.UnitUnknown,
		"1.2.3": rules.NumberUnreadable, "1,2.3,4": rules.NumberUnreadable, "1-2": rules.NumberUnreadable, "12/24": rules.NumberUnreadable,
		"a 2 b": rules.NumberUnreadable,
	} {
		_, err := ParseAmount(text, 0)
		assert.Equal(t, want, ruleOf(err), text)
	}
}

// 0.3 - 0.1 is 0.2 exactly, though not in floating point.
func TestConversionIsExact(t *testing.T) {
	a, err := ParseAmount("0.3", 0)
	require.NoError(t, err)
	b, err := ParseAmount("0.1", 0)
	require.NoError(t, err)
	x, y := 0.3, 0.1
	require.NotEqual(t, 0.2, x-y)
	assert.Equal(t, 0.2, FromRat(new(big.Rat).Sub(a.Rat(), b.Rat())).Value)
	assert.Equal(t, 62.0, Amount{Value: 0.62, Digits: "0.62"}.Times(100).Value)
	minus := b.Times(-1)
	assert.Equal(t, -0.1, minus.Value)
	assert.Equal(t, "-1/10", minus.Rat().String())
	assert.False(t, math.Signbit(Amount{Digits: "0"}.Times(-1).Value), "no negative zero")
}

func TestSentinelsAndMissingCodesAreApart(t *testing.T) {
	for _, v := range []float64{999, -999, 99, 9999} {
		assert.True(t, IsSentinel(v))
	}
	for _, v := range []float64{0, 9, 98, 99.5} {
		assert.False(t, IsSentinel(v))
	}
	for _, s := range []string{"n/a", "N/A", " Not measured ", "missing", "not recorded"} {
		assert.True(t, IsMissing(s, nil), s)
	}
	for _, s := range []string{"", "0", "-", ".", "999", "none"} {
		assert.False(t, IsMissing(s, nil), s)
	}
	assert.True(t, IsMissing("-", map[string]bool{"-": true}))
}

func TestMonths(t *testing.T) {
	march := casebook.NewMonth(2025, 3)
	for _, s := range []string{
		"2025-03", "2025-03-15", "2025/03/15", "2025-03-15T10:00:00", "2025-03-15 00:00:00", "03/2025", "3.2025", "Mar 2025",
		"march 2025", "15 March 2025", "March 15, 2025", "15th mar 2025", "15.3.2025", "05.03.2025", "15/03/2025", "03/15/2025", "03/03/2025",
	} {
		m, err := ParseMonth(s, Undeclared)
		if assert.NoError(t, err, s) {
			assert.Equal(t, march, m, s)
		}
	}
	m, err := ParseMonth("04/03/2025", DayFirst)
	require.NoError(t, err)
	assert.Equal(t, march, m)
	m, err = ParseMonth("03/04/2025", MonthFirst)
	require.NoError(t, err)
	assert.Equal(t, march, m)
	for s, want := range map[string]rules.ID{
		"03/04/2025": rules.DateAmbiguous, "3-4-2025": rules.DateAmbiguous, "13/13/2025": rules.DateUnreadable, "31/02/2025": rules.DateUnreadable,
		"03/25": rules.DateUnreadable, "Mar 25": rules.DateUnreadable, "soon": rules.DateUnreadable, "2025": rules.DateUnreadable,
		"2025-13": rules.DateUnreadable, "1825-03": rules.DateUnreadable, "": rules.DateUnreadable,
	} {
		_, err := ParseMonth(s, Undeclared)
		assert.Equal(t, want, ruleOf(err), s)
	}
}

// Serial days: 45731 is 2025-03-15 when days count from 1900, 44269 when they
// count from 1904 (the two systems are 1462 days apart, ECMA-376 part 1, 18.17.4.1).
func TestSerialDays(t *testing.T) {
	march := casebook.NewMonth(2025, 3)
	m, err := Serial("45731", false)
	require.NoError(t, err)
	assert.Equal(t, march, m)
	m, err = Serial("44269", true)
	require.NoError(t, err)
	assert.Equal(t, march, m)
	m, err = NumberMonth("202503", false)
	require.NoError(t, err)
	assert.Equal(t, march, m)
	for _, s := range []string{"12", "2025", "202513", "-3", "999999"} {
		_, err := NumberMonth(s, false)
		assert.Error(t, err, s)
	}
}

func TestTeeth(t *testing.T) {
	for s, want := range map[string]Tooth{
		"13": {FDI: 13, Universal: 25}, "13.0": {FDI: 13, Universal: 25}, "1.3": {FDI: 13}, "#6": {Universal: 13}, "46": {FDI: 46},
		"UR3": {Palmer: 13}, "ur 3": {Palmer: 13}, "upper right 3": {Palmer: 13}, "3UR": {Palmer: 13}, "LL6": {Palmer: 36},
		"3┘": {Palmer: 13}, "└3": {Palmer: 23}, "6┐": {Palmer: 46}, "┌6": {Palmer: 36}, "32": {FDI: 32, Universal: 48},
		"55": {Deciduous: true}, "URA": {Deciduous: true}, "0": {}, "99": {}, "UX3": {}, "": {}, "13/23": {}, "UR9": {}, "1.9": {},
	} {
		assert.Equal(t, want, ParseTooth(s), s)
	}
}

// The numbers that two notations share: 11-18, 21-28, 31 and 32.
func TestOnlySharedTeethLeaveTheNotationOpen(t *testing.T) {
	for n := range 60 {
		var e Notations
		e.Note(numbered(n), 1)
		shared := n >= 11 && n <= 18 || n >= 21 && n <= 28 || n == 31 || n == 32
		if numbered(n).FDI != 0 || numbered(n).Universal != 0 {
			assert.Equal(t, shared, e.Decide() == casebook.NoNotation, n)
		}
	}
	e := Notations{FDI: 100, Universal: 3, Teeth: 103}
	assert.Equal(t, casebook.FDI, e.Decide(), "a few slips of the pen do not change the notation")
	e.Universal = 30
	assert.Equal(t, casebook.NoNotation, e.Decide())
}

func TestCourses(t *testing.T) {
	for s, want := range map[string]int{
		"1": 1, "initial": 1, "Initial course": 1, "2": 2, "R1": 2, "r 2": 3, "refinement 1": 2, "ref 3": 4, "course 3": 3, "2.0": 2,
		"1st": 1, "2nd": 2, "3rd": 3, "R 2nd": 3, "Rev 1": 2, "2nd revision": 3,
	} {
		n, err := ParseCourse(s)
		if assert.NoError(t, err, s) {
			assert.Equal(t, want, n, s)
		}
	}
	for _, s := range []string{"", "0", "refinement", "x", "-1", "99", "R0x", "nd", "2x", "99th"} {
		_, err := ParseCourse(s)
		assert.Equal(t, rules.CourseUnknown, ruleOf(err), s)
	}
}

func TestAxesAndDirections(t *testing.T) {
	for s, want := range map[string]casebook.Axis{
		"rotation": casebook.Rotation, "Extrusion/Intrusion": casebook.Vertical, "TORQUE": casebook.Torque, "mesio-distal tip": casebook.Tip,
	} {
		a, d, err := ParseAxis(s)
		if assert.NoError(t, err, s) {
			assert.Equal(t, want, a, s)
			assert.Equal(t, casebook.NoDirection, d, s)
		}
	}
	for _, d := range casebook.Directions() {
		a, got, err := ParseAxis(d.String())
		require.NoError(t, err)
		assert.Equal(t, d.Axis(), a)
		assert.Equal(t, d, got)
	}
	d, err := ParseDirection("I", casebook.Vertical)
	require.NoError(t, err)
	assert.Equal(t, casebook.Intrusion, d)
	_, err = ParseDirection("buccal shift", casebook.Vertical)
	assert.Equal(t, rules.AxisAgainstWord, ruleOf(err))
	_, _, err = ParseAxis("sideways")
	assert.Equal(t, rules.AxisUnknown, ruleOf(err))
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"tooth", "toth", 1}, {"planned", "plnaned", 1}, {"abc", "xyz", 3}, {"case", "", 4}} {
		assert.Equal(t, c.want, Distance(c.a, c.b), "%v", c)
		assert.Equal(t, c.want, Distance(c.b, c.a), "%v", c)
	}
	assert.Equal(t, "notation", Nearest("notaton", []string{"decimal", "notation"}))
	assert.Empty(t, Nearest("zebra", []string{"decimal", "notation"}))
}

// FuzzAmount: a text is read as a finite number whose digits agree with it, or
// refused; the sign of what is written never turns silently.
func FuzzAmount(f *testing.F) {
	for _, s := range []string{"1.5", "−1,5 mm*", "(2)", "12°", "2.0 I", "1,234.5", "62 %", "- 3", "1.250", "", "∞", "1e5", "٣"} {
		f.Add(s, byte('.'))
		f.Add(s, byte(','))
		f.Add(s, byte(0))
	}
	f.Fuzz(func(t *testing.T, s string, dec byte) {
		if dec != '.' && dec != ',' {
			dec = 0
		}
		a, err := ParseAmount(s, Decimal(dec))
		if err != nil {
			assert.NotEmpty(t, ruleOf(err))
			return
		}
		assert.False(t, math.IsNaN(a.Value) || math.IsInf(a.Value, 0))
		exact, _ := a.Rat().Float64()
		assert.Equal(t, a.Value, exact+0)
		if !strings.ContainsAny(tidy(s), "-(") {
			assert.GreaterOrEqual(t, a.Value, 0.0, "%q", s)
		}
		assert.Equal(t, -a.Value+0, a.Times(-1).Value)
	})
}

// FuzzTooth: what is read is a permanent tooth that survives being written.
func FuzzTooth(f *testing.F) {
	for _, s := range []string{"13", "1.3", "#6", "UR3", "3┘", "upper left 5", "55", "13.0", "", "URA"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		x := ParseTooth(s)
		for _, n := range []casebook.Notation{casebook.FDI, casebook.Universal, casebook.Palmer} {
			tooth, err := x.In(n)
			if err != nil {
				assert.Equal(t, rules.ToothUnknown, ruleOf(err))
				continue
			}
			assert.True(t, tooth.Valid())
			again, err := ParseTooth(tooth.In(n)).In(n)
			assert.NoError(t, err)
			assert.Equal(t, tooth, again)
		}
	})
}

// FuzzMonth: what is read lies in range and survives being written; declaring
// the order never turns a readable date unreadable in both orders.
func FuzzMonth(f *testing.F) {
	for _, s := range []string{"2025-03", "03/04/2025", "15.3.2025", "Mar 2025", "2025-03-15T00:00:00", "31/02/2025", "", "1-1-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ParseMonth(s, Undeclared)
		if err != nil {
			assert.NotEmpty(t, ruleOf(err))
			return
		}
		assert.GreaterOrEqual(t, m.Year(), 1990)
		again, err := ParseMonth(m.String(), Undeclared)
		assert.NoError(t, err)
		assert.Equal(t, m, again)
		d, errDay := ParseMonth(s, DayFirst)
		mm, errMonth := ParseMonth(s, MonthFirst)
		assert.True(t, errDay == nil && d == m || errMonth == nil && mm == m, "%q", s)
	})
}

// Courses in eight languages, and what is none.
func TestCourseByWords(t *testing.T) {
	for text, want := range map[string]int{
		"Erstserie": 1, "Nachkorrektur 2": 3, "Nachkorr. 1": 2, "finition 1": 2, "2e finition": 3, "raffinement 1": 2, "inicial": 1, "refinamiento 2": 3,
		"iniziale": 1, "rifinitura 1": 2, "refinamento 1": 2, "initieel": 1, "eerste serie": 1, "verfijning 1": 2, "początkowa": 1, "korekta 1": 2,
		"Ref 0": 1, "1st refinement": 2, "Initial plan": 1, "Serie: Erstserie": 1, "Serie 2": 2,
	} {
		got, err := ParseCourse(text)
		assert.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"refinement", "Patient 3", "13", "K24-101", "retainer", "0"} {
		n, ok := CourseByWords(text)
		assert.Zero(t, n, "%q %v", text, ok)
	}
}

// Both ways of folding give the same, whatever the text.
func FuzzKey(f *testing.F) {
	for _, s := range []string{
		"", " ", "Planned (mm)", "a--b__c", "P-00012", "x\ty\v z", "É/È", "a\x00b", "#1st ref.", `\'"`, "ſ", "K", strings.Repeat("ab ", 16), strings.Repeat("-", 60),
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var b [48]byte
		if n, ok := plainKey(s, &b); ok {
			assert.Equal(t, anyKey(s), string(b[:n]))
		}
	})
}

func BenchmarkKey(b *testing.B) {
	texts := []string{"software-suggested", "P00012", "rotation", "0.75", "Clinician-designed", "2025-03"}
	// The least of several short runs: what else the machine does only adds.
	timed := func(fold func(string) string) float64 {
		least := time.Duration(1 << 62)
		for range 50 {
			start := time.Now()
			for i := range 5_000 {
				fold(texts[i%len(texts)])
			}
			least = min(least, time.Since(start))
		}
		return least.Seconds()
	}
	for b.Loop() {
		b.ReportMetric(timed(Key)/timed(anyKey), "ratio-to-any-text")
	}
}

func TestSkeletonsOfCodes(t *testing.T) {
	for _, alike := range [][]string{{"#001", "001", "1"}, {"P-01", "p1", "P 001", "P_1."}, {"A-1-12", "a 1/12"}, {"000", "0"}} {
		for _, s := range alike[1:] {
			assert.Equal(t, Skeleton(alike[0]), Skeleton(s), s)
		}
	}
	seen := map[string]string{}
	for _, s := range []string{"1", "10", "P1", "1P", "A-1-12", "A-11-2", "A1B", "AB1", "Ä1", "0"} {
		k := Skeleton(s)
		assert.Empty(t, seen[k], s)
		seen[k] = s
	}
	assert.Empty(t, Skeleton(" -/#"))
}

// Who drew it, as practices of several countries say it.
func TestStylesInOtherWords(t *testing.T) {
	for text, want := range map[string]casebook.Style{
		"Vorschlag der Software": casebook.SoftwareSuggested, "as proposed": casebook.SoftwareSuggested, "propuesta del software": casebook.SoftwareSuggested,
		"proposition du logiciel": casebook.SoftwareSuggested, "propozycja oprogramowania": casebook.SoftwareSuggested, "programmets förslag": casebook.SoftwareSuggested,
		"my own": casebook.ClinicianDesigned, "my design": casebook.ClinicianDesigned,
	} {
		got, err := ParseStyle(text)
		assert.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	_, err := ParseStyle("Vorschlag der Software, geändert von mir am Montag")
	assert.Error(t, err)
}
