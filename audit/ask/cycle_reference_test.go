package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/cycle"
	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

func TestSegmentedTrendAgainstR(t *testing.T) {
	parts, change := seatbeltParts(t)
	p := &rows.Set{Settings: results.DefaultSettings()}
	var out results.ChangeResult
	cycle.Segmented(p, &out, &change, parts)
	cycle.BeforeAfter(p, &out, &change, parts)
	for name, c := range map[string]struct {
		got  results.Difference
		want [5]float64 // estimate, SE, df, limits
	}{
		"trend before":    {out.SlopeBefore, [5]float64{-0.304803341454924, 0.112025708433678, 92.5893770941866, -0.527277199346459, -0.0823294835633898}},
		"step":            {out.Step, [5]float64{-32.918510419346553, 7.771011834704447, 12.3177496575356, -49.801775658005766, -16.0352451806873439}},
		"change of trend": {out.SlopeChange, [5]float64{4.653617570703937, 1.980484845343339, 11.6007400534002, 0.321982735338675, 8.9852524060692005}},
		"before to after": {out.Difference, [5]float64{-25.6089529199897, 4.99658426576245, 28.3269383099724, -35.8386725596098, -15.3792332803696}},
	} {
		got := [5]float64{float64(c.got.Difference), float64(c.got.SE), float64(c.got.DF), float64(c.got.Low), float64(c.got.High)}
		for i := range got {
			assert.InEpsilon(t, c.want[i], got[i], 1e-8, "%s, number %d", name, i)
		}
	}
}

// seatbeltParts makes one part a month of the car drivers killed in Great
// Britain, 1969 to 1984 (Harvey & Durbin 1986, J R Stat Soc A 149:187-227; R's
// Seatbelts[, "DriversKilled"]); the law came in force in February 1983.
func seatbeltParts(t *testing.T) ([]series.Part, results.ProtocolChange) {
	killed := audittest.ReadTable(t, "seatbelts.csv")
	require.Len(t, killed, 192)
	var parts []series.Part
	for i, l := range killed {
		m := casebook.NewMonth(1969, 1) + casebook.Month(i)
		parts = append(parts, series.Part{Cluster: i, Quarter: series.QuarterOf(m), Month: m, Num: audittest.Num(t, l["drivers_killed"]), Den: 1, N: 1})
	}
	return parts, results.ProtocolChange{Month: casebook.NewMonth(1983, 2), Description: "seat-belt law"}
}

// TestCasesRefinedIsWilson: cases refined are independent, so the
// criterion uses Wilson's limits; 81 of 263 is Newcombe's (1998, Stat Med
// 17:857-872) first example: 0.2553, 0.3662.
func TestCasesRefinedIsWilson(t *testing.T) {
	parts := make([]series.Part, 263)
	for i := range parts {
		parts[i] = series.Part{Cluster: i, Num: float64(measure.OneIf(i < 81)), Den: 1, N: 1}
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	s, _, _ := cycle.Observe(p, &results.Criterion{Measure: results.CasesRefined}, parts)
	assert.InDelta(t, 0.25528852, float64(s.Low), 1e-8)
	assert.InDelta(t, 0.36620958, float64(s.High), 1e-8)
	w := prop.Wilson(81, 263, 0.95)
	assert.Equal(t, results.Number(w.Low), s.Low)
}
