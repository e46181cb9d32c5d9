package casebook

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDirectionIsAxisAndSign(t *testing.T) {
	seen := map[Direction]bool{}
	for _, axis := range Axes() {
		for _, amount := range []float64{0.3, -0.3} {
			d := DirectionOf(axis, amount)
			assert.Equal(t, axis, d.Axis(), "%v", d)
			assert.Positive(t, d.Sign()*amount, "%v", d)
			seen[d] = true
		}
		assert.Equal(t, NoDirection, DirectionOf(axis, 0))
	}
	assert.Len(t, seen, len(Directions()))
	assert.Equal(t, Extrusion, DirectionOf(Vertical, 1))
	assert.Equal(t, Intrusion, DirectionOf(Vertical, -1))
	assert.Equal(t, MesialIn, DirectionOf(Rotation, 5))
	assert.Equal(t, TipMesial, DirectionOf(Tip, 5))
	assert.Equal(t, TorqueBuccal, DirectionOf(Torque, 5))
	assert.Equal(t, ShiftMesial, DirectionOf(MesiodistalShift, 0.4))
	assert.Equal(t, ShiftLingual, DirectionOf(BuccolingualShift, -0.4))
	assert.Zero(t, NoDirection.Sign())
	assert.Equal(t, NoAxis, NoDirection.Axis())
}

func TestUnitFollowsAxis(t *testing.T) {
	for _, axis := range []Axis{Vertical, MesiodistalShift, BuccolingualShift} {
		assert.Equal(t, Millimetre, axis.Unit(), "%v", axis)
	}
	for _, axis := range []Axis{Rotation, Tip, Torque} {
		assert.Equal(t, Degree, axis.Unit(), "%v", axis)
	}
	assert.Equal(t, NoUnit, NoAxis.Unit())
}

// Every word survives JSON, and "not recorded" is the empty string, so that a
// missing word is never read back as the first of the list.
func TestWordsSurviveJSON(t *testing.T) {
	type words struct {
		Axis        Axis
		Direction   Direction
		Style       Style
		Shape       Shape
		Orientation Orientation
		Staging     Staging
		Status      Status
		Wear        Wear
		Age         AgeBand
		Notation    Notation
		Class       ToothClass
		Arch        Arch
		Unit        Unit
		Month       Month
	}
	full := words{
		Torque, ShiftLingual, ClinicianDesigned, Wedge, ObliqueFace, Sequenced, Switched,
		WearPoor, Age60Plus, Palmer, Molar, Lower, Degree, NewMonth(2025, 12),
	}
	for _, want := range []words{{}, full} {
		b, err := json.Marshal(want)
		require.NoError(t, err)
		var got words
		if want == (words{}) {
			assert.Contains(t, string(b), `"Style":""`)
		}
		require.NoError(t, json.Unmarshal(b, &got), string(b))
		assert.Equal(t, want, got)
	}
	var s Style
	assert.ErrorContains(t, json.Unmarshal([]byte(`"robot"`), &s), "software-suggested")
}

func TestMonth(t *testing.T) {
	m, err := ParseMonth("2025-03")
	require.NoError(t, err)
	assert.Equal(t, NewMonth(2025, 3), m)
	assert.Equal(t, "2025-03", m.String())
	assert.Equal(t, "2025 Q1", m.Quarter())
	assert.Equal(t, "2025-01", (m - 2).String())
	assert.Equal(t, "2024-12", (m - 3).String())
	assert.Equal(t, 12, (m - 3).Number())
	for _, bad := range []string{"", "2025", "2025-13", "03-2025", "2025-3-1"} {
		_, err := ParseMonth(bad)
		assert.Error(t, err, bad)
	}
}

func TestAgeBandBoundaries(t *testing.T) {
	for years, want := range map[int]AgeBand{
		11: AgeUnder12, 12: Age12To17, 17: Age12To17, 18: Age18To29, 29: Age18To29,
		30: Age30To44, 44: Age30To44, 45: Age45To59, 59: Age45To59, 60: Age60Plus, 91: Age60Plus,
	} {
		assert.Equal(t, want, AgeBandOf(years), "%d", years)
	}
}

func TestProblemSaysWhereWhatAndRemedy(t *testing.T) {
	p := Problem{File: "a.xlsx", Sheet: "movements", Cell: "C12", Row: 12, Message: "unknown tooth", Remedy: "Use FDI 11 to 48"}
	assert.Equal(t, "a.xlsx, sheet movements, cell C12: unknown tooth. Use FDI 11 to 48", p.Error())
	p.Cell = ""
	assert.Equal(t, "a.xlsx, sheet movements, row 12: unknown tooth. Use FDI 11 to 48", p.Error())
}

func TestCountsReconcile(t *testing.T) {
	b := Batch{Sheets: []SheetCounts{
		{Sheet: "a", Counts: Counts{Read: 10, Accepted: 7, Rejected: 2, Blank: 1}},
		{Sheet: "b", Counts: Counts{Read: 3, Accepted: 3}},
	}}
	assert.Equal(t, Counts{13, 10, 2, 1}, b.Counts())
	assert.True(t, b.Counts().Balanced())
	assert.False(t, Counts{Read: 2, Accepted: 1}.Balanced())
}

func TestParseQuarter(t *testing.T) {
	for _, s := range []string{"2026Q3", "2026 Q3", "2026-q3", " 2026q3 ", "Q3 2026", "q3-2026", "Q32026", "Q3/2026"} {
		m, err := ParseQuarter(s)
		require.NoError(t, err, s)
		assert.Equal(t, NewMonth(2026, 7), m, s)
		assert.Equal(t, "2026 Q3", m.Quarter())
	}
	for _, s := range []string{"", "2026", "Q3", "2026Q5", "2026Q0", "26Q1", "2026Q3x", "Q5 2026", "Q0 2026", "Q3 26", "Q", "Q3 Q3 2026", "3 2026"} {
		_, err := ParseQuarter(s)
		assert.Error(t, err, s)
	}
}

// Results saved under the former words of shapes are read.
func TestFormerShapesAreRead(t *testing.T) {
	for word, want := range map[string]Shape{"rectangular": Block, "bevelled": Wedge, "ellipsoid": Oval, "hemisphere": Dome, "block": Block, "": NoShape} {
		var got Shape
		require.NoError(t, got.UnmarshalText([]byte(word)), word)
		assert.Equal(t, want, got, word)
	}
	var got Shape
	assert.Error(t, got.UnmarshalText([]byte("cube")))
}
