package between

import (
	"context"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

const asIs = "as it is"

// misplacements of a decimal in one movement.
var misplacements = map[string]func(*casebook.Movement){
	asIs:                        func(*casebook.Movement) {},
	"achieved times ten":        func(m *casebook.Movement) { m.Achieved.Value *= 10 },
	"achieved a hundredfold":    func(m *casebook.Movement) { m.Achieved.Value *= 100 },
	"achieved a tenth":          func(m *casebook.Movement) { m.Achieved.Value /= 10 },
	"planned times ten":         func(m *casebook.Movement) { m.Planned *= 10 },
	"planned a tenth":           func(m *casebook.Movement) { m.Planned /= 10 },
	"achieved against the plan": func(m *casebook.Movement) { m.Achieved.Value *= -1 },
	"ten times, against":        func(m *casebook.Movement) { m.Achieved.Value *= -10 },
}

// TestOneMisplacedDecimal: what a practice shows is still shown, or the report names
// the cell that hides it; but for amounts that can be right, which nobody could name, and
// which hide one in twenty at most.
func TestOneMisplacedDecimal(t *testing.T) {
	n := audittest.Everyday(2, 1)
	if v, err := strconv.Atoi(os.Getenv("SHORTFALL_PRACTICES")); err == nil {
		n = v
	}
	hidden, told, plausible := map[string]bool{}, [2]int{}, 0
	extrusion := results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, Course: results.Initial}
	verdict := func(ds *casebook.Dataset) *results.Comparison {
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		cs, err := Comparisons(context.Background(), p)
		require.NoError(t, err)
		for i := range cs {
			if cs[i].By == extrusion {
				return &cs[i]
			}
		}
		t.Fatal("no comparison of extrusion")
		return nil
	}
	for seed := range uint64(n) {
		for name, misplace := range misplacements {
			practice := simulate.New(90, 0.15, 0.3, 0)
			practice.Effect[casebook.Extrusion] = 0.16
			ds := practice.Make(seed + 1)
			at := -1
			for i, m := range ds.Movements { // the largest result does most harm
				if m.Direction() == casebook.Extrusion && m.Style == casebook.SoftwareSuggested && (at < 0 || m.Achieved.Value > ds.Movements[at].Achieved.Value) {
					at = i
				}
			}
			if misplace(&ds.Movements[at]); name == asIs {
				require.Equal(t, results.Higher, verdict(ds).Verdict)
				continue
			}
			c := verdict(ds)
			named := c.Reason == string(compare.DoubtfulAmounts) && strings.Contains(c.Because, ds.Movements[at].Case.ID)
			if c.Verdict != results.Higher && !named && !doubted(ds, at) {
				plausible++
				continue
			}
			assert.True(t, c.Verdict == results.Higher || named, "practice %d, %s: %s, %s", seed, name, c.Verdict, c.Because)
			if named && !hidden[name] {
				assert.NotContains(t, c.Because, "confirmed on reading")
				ds.Movements[at].Confirmed = casebook.AsMeasured
				assert.Contains(t, verdict(ds).Because, "confirmed on reading")
			}
			hidden[name] = hidden[name] || named
			told[measure.OneIf(named)]++
		}
	}
	t.Logf("called all the same %d, cell named %d, hidden by an amount that can be right %d", told[0], told[1], plausible)
	assert.LessOrEqual(t, 20*plausible, told[0]+told[1])
	assert.True(t, hidden["achieved times ten"], "not one finding was hidden: the test tests nothing")
}

// doubted reports that reading asks about the amounts of one movement.
func doubted(ds *casebook.Dataset, at int) bool {
	ms := make([]*casebook.Movement, len(ds.Movements))
	for i := range ds.Movements {
		ms[i] = &ds.Movements[i]
	}
	return casebook.Doubts(ms, results.DefaultSettings().Smallest)[at] != casebook.NoDoubt
}
