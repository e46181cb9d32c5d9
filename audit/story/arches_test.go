package story

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// inTheMouth records single teeth of every axis and direction, so that there is
// something to draw.
func inTheMouth(r *results.Results) {
	for _, tooth := range casebook.AllTeeth() {
		for _, a := range casebook.Axes() {
			r.Expression = append(r.Expression, cell(results.By{Axis: a, Tooth: tooth, Course: results.Initial}, 0.5))
		}
		for _, d := range casebook.Directions() {
			r.Expression = append(r.Expression, cell(results.By{Axis: d.Axis(), Direction: d, Tooth: tooth, Course: results.Initial}, 0.5))
		}
	}
	for _, d := range casebook.Directions() {
		for _, class := range casebook.ToothClasses() {
			by := results.InFirstSets(d)
			by.ToothClass = class
			if !slices.ContainsFunc(r.Expression, func(c results.Cell) bool { return c.By == by }) {
				few := cell(by, 0.5)
				few.Cases, few.Movements, few.Low, few.High = 7, 9, none, none
				r.Expression = append(r.Expression, few)
			}
		}
	}
}

// Where styles cannot be compared the headline, the outlined teeth and the decision
// name the same; the arches of page one are those of the directions that are named,
// and the number in an outlined tooth is the one that the sentence has.
func TestHeadlineArchesAndDecisionAgree(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	fellShort(r, casebook.TorqueBuccal, casebook.Premolar, 0.32)
	fellShort(r, casebook.TorqueBuccal, casebook.Molar, 0.36)
	inTheMouth(r)
	Tell(r)
	f := r.Front
	assert.Equal(t, "Least of the plan achieved in buccal torque of premolars and molars; the attachment styles cannot be compared yet", f.Headline)
	assert.Equal(t, "In the mouth: buccal torque of premolars and molars", f.Arches.Title)
	assert.Equal(t, "Buccal torque of premolars and molars: plan or support differently?", f.Decide[0])
	assert.Contains(t, f.Short.Statements[0].Text, "32\u00a0%")
	var first []results.FrontArch
	for _, a := range f.Arches.Axes {
		if a.First {
			first = append(first, a)
			continue
		}
		assert.Equal(t, casebook.NoDirection, a.Direction, "the other figure has the axes")
		assert.False(t, slices.ContainsFunc(a.Teeth, func(x results.FrontTooth) bool { return x.Meant }), "outlined teeth are on page one")
	}
	require.Len(t, first, 2)
	assert.Equal(t, casebook.TorqueBuccal, first[0].Direction)
	for _, tooth := range first[0].Teeth {
		class := tooth.Tooth.Class()
		assert.Equal(t, class == casebook.Premolar || class == casebook.Molar, tooth.Meant, "%s", tooth.Tooth)
		switch class {
		case casebook.Premolar:
			assert.InDelta(t, 0.32, float64(tooth.Value), 1e-12)
		case casebook.Incisor:
			assert.False(t, tooth.Value.OK(), "incisors have no cell of their own")
		}
	}
}

// Kinds of tooth that hardly differ are not set apart by a headline, an outline or a
// decision: 51 % beside 52 to 57 % is the lowest of many and no more.
func TestKindsThatAreAlikeAreNotNamed(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	for i, class := range casebook.ToothClasses() {
		fellShort(r, casebook.TorqueBuccal, class, 0.51+results.Number(i)/50)
	}
	inTheMouth(r)
	Tell(r)
	f := r.Front
	const alike = "No kind of movement fell short clearly more than others"
	assert.Equal(t, alike+"; the attachment styles cannot be compared yet", f.Headline)
	assert.Contains(t, f.Under, "Direction by direction, 50\u00a0% of the plan was achieved.", "as the figure below has it")
	assert.Contains(t, f.Under, "none stands out, which takes a shortfall of more than 0.5\u00a0mm or 2° and more than chance", "by which rule none stands out")
	assert.Equal(t, "In the mouth: extrusion and intrusion, the lowest though not clearly so", f.Arches.Title, "the headline is not said again")
	assert.Empty(t, f.Short.Statements)
	assert.Contains(t, f.Short.Lead, alike+". Of the kinds with 10 or more cases, 50 to 57\u00a0% of the plan was achieved; none stands out")
	for _, q := range f.Decide {
		assert.NotContains(t, q, "plan or support differently")
	}
	for _, a := range f.Arches.Axes {
		assert.False(t, slices.ContainsFunc(a.Teeth, func(x results.FrontTooth) bool { return x.Meant }), "no tooth is outlined")
	}
	fellShort(r, casebook.MesialOut, casebook.Incisor, 0.3)
	Tell(r)
	assert.Contains(t, r.Front.Headline, "Least of the plan achieved in mesial-out rotation of incisors;")
}

// Nothing lower than what the title names is drawn, or the line below it says that it
// lies within the tolerance, or else why it is not named; nor is anything as low.
func TestNothingLowerThanTheTitleIsDrawn(t *testing.T) {
	r := base()
	fellShort(r, casebook.Extrusion, casebook.Canine, 0.4)
	inTheMouth(r)
	Tell(r)
	assert.NotContains(t, r.Front.Arches.Sub, "named")
	fellShort(r, casebook.Extrusion, casebook.Molar, 0.3)
	r.Expression[len(r.Expression)-1].MeanShortfall = 0.2
	Tell(r)
	assert.Equal(t, "Least of the plan achieved, and short by more than 0.5\u00a0mm or 2° on average: extrusion of canines", r.Front.Arches.Title)
	lower := 0
	for _, f := range r.Front.Arches.Axes[0].Teeth {
		assert.False(t, f.Meant && f.Lower)
		if f.Lower {
			lower++
			assert.Equal(t, casebook.Molar, f.Tooth.Class())
		}
	}
	assert.Positive(t, lower, "what is darker and not named has a mark of its own")
	assert.Contains(t, r.Front.Arches.Sub, "dashed: as low, but short by less than the tolerance")
	molars := &r.Expression[len(r.Expression)-1]
	molars.MeanShortfall, molars.High = 5, 1.1
	Tell(r)
	assert.NotContains(t, r.Front.Arches.Sub, "tolerance")
	assert.Contains(t, r.Front.Arches.Sub, "dashed: as low, but too few cases to be sure")
	molars.Estimate = 0.404
	Tell(r)
	assert.Contains(t, r.Front.Arches.Sub, "dashed: as low", "what is printed as the same number is as low")
	molars.Estimate = 0.406
	Tell(r)
	assert.NotContains(t, r.Front.Arches.Sub, "dashed")
}

// A kind that is printed with the number of what is named, and passes what that passed,
// is named too where it is drawn beside it.
func TestWhatIsAsLowIsNamedToo(t *testing.T) {
	r := base()
	fellShort(r, casebook.Extrusion, casebook.Incisor, 0.301)
	fellShort(r, casebook.Extrusion, casebook.Canine, 0.302)
	fellShort(r, casebook.Extrusion, casebook.Molar, 0.304)
	fellShort(r, casebook.Intrusion, casebook.Molar, 0.304)
	inTheMouth(r)
	Tell(r)
	assert.Contains(t, r.Front.Arches.Title, "extrusion of incisors and canines and molars")
	for _, k := range r.Front.Arches.Axes[0].Kinds {
		assert.Equal(t, k.Class != casebook.Premolar, k.Meant, "%s", k.Class)
		assert.False(t, k.Lower)
	}
}

// A number that teeth share stands once: in the list of kinds, and each tooth says whose
// it is. Where the title names nothing, kinds with too few cases for an interval have theirs
// as it stands.
func TestWhatTeethShareIsOneNumber(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	inTheMouth(r)
	Tell(r)
	first := r.Front.Arches.Axes[0]
	require.True(t, first.First)
	require.Len(t, first.Kinds, len(casebook.ToothClasses()))
	for _, k := range first.Kinds {
		assert.False(t, k.Few || k.Ranked)
		assert.Equal(t, 7, k.Cases)
		assert.Contains(t, newTeller(r).cells, first.OfKind(&k))
	}
	for _, f := range first.Teeth {
		assert.True(t, f.OfKind)
		assert.True(t, f.Thin, "drawn as the means without an interval above it")
		assert.InDelta(t, 0.5, float64(f.Value), 1e-12)
	}
	assert.Equal(t, "under 10\u00a0cases", r.Front.Arches.Thin)
	fellShort(r, first.Direction, casebook.Molar, 0.2)
	r.Expression = slices.DeleteFunc(r.Expression, func(c results.Cell) bool {
		return c.By.Direction == first.Direction && c.By.ToothClass == casebook.Molar && c.Cases == 7
	})
	Tell(r)
	for _, k := range r.Front.Arches.Axes[0].Kinds {
		assert.Equal(t, k.Class != casebook.Molar, k.Few, "beside what is named stands what could have been")
	}
}

// Where most movements of a direction are of kinds of tooth with too few cases, it is
// ranked as a whole: a kind that happens to have enough is not the lowest for that.
func TestDirectionsAreRankedWholeWhereKindsHaveTooFew(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	for i := range r.Expression {
		if c := &r.Expression[i]; c.By == results.InFirstSets(casebook.MesialOut) {
			c.Estimate, c.High, c.MeanShortfall, c.Movements = 0.4, 0.45, 5, 120
		}
	}
	inTheMouth(r)
	fellShort(r, casebook.MesialOut, casebook.Incisor, 0.41)
	incisors := &r.Expression[len(r.Expression)-1]
	incisors.Movements = 50 // of 120
	Tell(r)
	assert.Equal(t, "In the mouth: mesial-out rotation, by kind of tooth", r.Front.Arches.Title)
	assert.Contains(t, r.Front.Headline, "Least of the plan achieved in mesial-out rotation;")
	assert.Contains(t, r.Front.Arches.Axes[0].Under, "all teeth 40\u00a0%")
	incisors.Movements = 70
	Tell(r)
	assert.Contains(t, r.Front.Headline, "mesial-out rotation of incisors")
}

// Teeth that pooling leaves within two points of each other have one number, that of all
// teeth, and one colour; where they differ by more each has its own.
func TestTeethThatAreAlikeHaveOneNumber(t *testing.T) {
	r := base()
	inTheMouth(r)
	pool := func(spread results.Number) results.FrontArch {
		for i := range r.Expression {
			if c := &r.Expression[i]; c.By == (results.By{Axis: casebook.Torque, Tooth: c.By.Tooth, Course: results.Initial}) && c.By.Tooth != 0 {
				c.Pooled = 0.5 + spread*results.Number(int(c.By.Tooth)%10)/8
			}
		}
		Tell(r)
		i := slices.IndexFunc(r.Front.Arches.Axes, func(x results.FrontArch) bool {
			return x.Axis == casebook.Torque && x.Direction == casebook.NoDirection
		})
		return r.Front.Arches.Axes[i]
	}
	alike := pool(0.02)
	assert.Contains(t, alike.Under, "teeth alike")
	for _, tooth := range alike.Teeth {
		assert.True(t, tooth.Alike)
		assert.InDelta(t, 0.5, float64(tooth.Value), 1e-12)
	}
	apart := pool(0.1)
	assert.NotContains(t, apart.Under, "alike")
	assert.False(t, apart.Teeth[0].Alike)
}

// Where kinds are alike, the directions are drawn of which least was achieved over all
// teeth, as they stand in the figure above.
func TestTheLowestAreNamedWithTheirTeeth(t *testing.T) {
	r := base()
	judge(r, results.NotComparable, none, casebook.Directions()...)
	for i, class := range casebook.ToothClasses() {
		fellShort(r, casebook.TorqueBuccal, class, 0.47+results.Number(i)/20)
	}
	inTheMouth(r)
	Tell(r)
	assert.Equal(t, "In the mouth: extrusion and intrusion, the lowest though not clearly so", strings.ReplaceAll(r.Front.Arches.Title, "\u00a0", " "))
}

// A direction that is lowest over all teeth and of which page one has no arch is said where
// the lowest kinds are named.
func TestTheLowestThatIsNotDrawnIsSaid(t *testing.T) {
	lead := func(extrusion results.Number, named bool) string {
		r := base()
		if named {
			fellShort(r, casebook.MesialOut, casebook.Premolar, 0.32)
			fellShort(r, casebook.MesialIn, casebook.Premolar, 0.33)
		}
		for i := range r.Expression {
			if c := &r.Expression[i]; c.By == results.InFirstSets(casebook.Extrusion) {
				c.Estimate, c.Low, c.High = extrusion, extrusion-0.05, extrusion+0.05
			}
		}
		inTheMouth(r)
		Tell(r)
		return r.Front.Short.Lead
	}
	const said = "Extrusion, lowest over all teeth, has none of them."
	assert.Contains(t, lead(0.4, true), said)
	assert.NotContains(t, lead(0.6, true), "lowest over all teeth", "where a direction that is drawn is as low as any")
	assert.NotContains(t, lead(0.4, false), said)
}

// Where styles are compared, it is said beside the means of all teeth that these are not
// means of the two styles.
func TestMeansOfAllTeethAreNotThoseOfTheStyles(t *testing.T) {
	r := base()
	Tell(r)
	assert.Contains(t, r.Front.Directions.Below, "over sum planned, which may lie outside both styles.")
	judge(r, results.NotComparable, none, casebook.Directions()...)
	Tell(r)
	assert.NotContains(t, r.Front.Directions.Below, "both styles")
}

// What the interval of a kind reaches is said to be perhaps as low; what lies above is not.
func TestKindsThatMayBeAsLow(t *testing.T) {
	r := base()
	fellShort(r, casebook.MesialOut, casebook.Premolar, 0.32)
	fellShort(r, casebook.MesialOut, casebook.Canine, 0.40)
	fellShort(r, casebook.MesialOut, casebook.Incisor, 0.60)
	near, above := &r.Expression[len(r.Expression)-2], &r.Expression[len(r.Expression)-1]
	near.Low, near.High = 0.32, 0.48
	above.Low, above.High = 0.33, 0.87
	inTheMouth(r)
	Tell(r)
	for _, k := range r.Front.Arches.Axes[0].Kinds {
		assert.Equal(t, k.Class == casebook.Canine, k.Near, k.Class)
	}
}
