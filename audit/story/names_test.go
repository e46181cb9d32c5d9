package story

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestEveryWordHasItsNames in a sentence and at the start of a row.
func TestEveryWordHasItsNames(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range casebook.Directions() {
		for _, name := range []string{directionWords[d].noun, directionWords[d].row} {
			assert.NotEmpty(t, name, d)
			assert.False(t, seen[name], "%v is called %q as another is", d, name)
			seen[name] = true
		}
	}
	for _, a := range casebook.Axes() {
		assert.NotEmpty(t, axisNoun(a), a)
		assert.NotEmpty(t, axisRow(a), a)
	}
}

// TestSizesNameNoDirection: of sheets that give sizes alone no sentence and no label of
// the first pages says which way; the words stand where a sheet gave them.
func TestSizesNameNoDirection(t *testing.T) {
	for name, told := range map[string]results.Verdict{"nothing clear": results.NotDistinguishable, "clear": results.Lower, "apart": results.NotComparable} {
		r := base()
		r.Expression, r.Comparisons = nil, nil
		for _, d := range []casebook.Direction{casebook.Extrusion, casebook.Intrusion, casebook.MesialIn, casebook.TipMesial, casebook.TorqueBuccal, casebook.TorqueLingual} {
			for _, class := range []casebook.ToothClass{casebook.NoClass, casebook.Canine, casebook.Molar} {
				c := cell(results.By{Axis: d.Axis(), Direction: d, ToothClass: class, Course: results.Initial}, 0.4)
				c.MeanShortfall = 3
				if d == casebook.MesialIn || d == casebook.TipMesial || d == casebook.TorqueBuccal {
					c.Estimate = 0.3
				}
				r.Expression = append(r.Expression, c)
			}
			r.Comparisons = append(r.Comparisons, comparison(d, told, -0.2))
		}
		r.Scope.Unstated = []results.Unstated{{Direction: casebook.MesialIn, Alone: true}, {Direction: casebook.TipMesial, Alone: true}, {Direction: casebook.TorqueBuccal}}
		Tell(r)
		said, err := json.Marshal(r.Front)
		assert.NoError(t, err)
		for _, g := range r.Front.Dots.Groups {
			for _, row := range g.Rows {
				sized := row.By.Axis != casebook.Vertical && row.By.Direction != casebook.TorqueLingual
				assert.Equal(t, sized, row.Unstated, row.Name)
			}
		}
		for _, word := range []string{"esial-in", "esial tip", "ip, mesial", "esial"} {
			text := strings.ReplaceAll(strings.ReplaceAll(string(said), `"direction":"rotation mesial-in"`, ""), `"direction":"tip mesial"`, "")
			text = strings.ReplaceAll(text, "mesial on the left", "")
			assert.NotContains(t, text, word, name)
		}
		assert.Contains(t, string(said), "buccal or unstated", name)
		assert.Contains(t, string(said), "Rotation", name)
		assert.Contains(t, string(said), "ntrusion", name)
	}
}
