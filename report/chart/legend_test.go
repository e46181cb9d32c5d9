package chart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The legend names every way in which a tooth is drawn, and none that does not
// occur; where nothing was planned a tooth has no fill and a broken outline, which
// tells it from the palest step without colour.
func TestLegendNamesWhatIsDrawn(t *testing.T) {
	all, few := archOf("a", false), archOf("b", false)
	for i := range few.Teeth {
		few.Teeth[i].Strong, few.Teeth[i].Few = false, false
		few.Teeth[i].Value = 0.9
	}
	for _, side := range []bool{true, false} {
		drawn := svg(t, Arches{Title: "a", Across: 1, Side: side, Arches: []Arch{all}}.Draw(174))
		plain := svg(t, Arches{Title: "a", Across: 1, Side: side, Arches: []Arch{few}}.Draw(174))
		for _, words := range []string{"too few to show", "none planned"} {
			assert.Contains(t, drawn, ">"+words+"<")
			assert.NotContains(t, plain, ">"+words+"<")
		}
		assert.Contains(t, drawn, "stroke-dasharray")
		assert.NotContains(t, plain, "stroke-dasharray")
	}
}

// A third molar that is not drawn is not in the legend either.
func TestLegendLeavesOutWhatIsNotDrawn(t *testing.T) {
	a := archOf("a", false)
	a.Teeth[27].Value = 0.5
	assert.NotContains(t, svg(t, Arches{Across: 1, Arches: []Arch{a}}.Draw(174)), "none planned")
}

// The names of the styles stand in one order, whichever style achieved more.
func TestNamesOfTheStylesKeepTheirOrder(t *testing.T) {
	for _, clinician := range []float64{0.1, 0.9} {
		d := Dots{Software: "software", Clinician: "clinician", Groups: []DotGroup{{Rows: []DotRow{{Pair: true, Software: 0.5, Clinician: clinician}}}}}
		at := map[string]float64{}
		for _, it := range d.Draw(174).Items {
			if text, ok := it.(Text); ok {
				at[text.Text] = text.At.X
			}
		}
		require.Contains(t, at, "software")
		require.Contains(t, at, "clinician")
		assert.Less(t, at["software"], at["clinician"])
	}
}

// Where the title names teeth, these are the darkest there are, whatever they came to; what
// is as low and not named has no fill, and the legend has those looks and no scale.
func TestWhatIsNamedIsTheDarkest(t *testing.T) {
	as := Arches{Across: 2, Side: true, Flat: true, Named: true, Reach: "its CI reaches 33 %", Arches: []Arch{kindsOf("a", false)}}
	assert.Nil(t, as.fill(ArchTooth{Lower: true, Value: 0.1}))
	named := as.fill(ArchTooth{Strong: true, Value: 0.9})
	for _, v := range []float64{-0.2, 0.1, 0.4, 0.6, 1.2} {
		other := as.fill(ArchTooth{Value: v})
		assert.GreaterOrEqual(t, Contrast(*named, *other), 7.0)
		assert.Greater(t, other.luminance(), named.luminance())
		assert.Equal(t, other, as.fill(ArchTooth{Value: 0.5}), "all alike")
		near := as.fill(ArchTooth{Near: true, Value: v})
		assert.Greater(t, other.luminance(), near.luminance())
		assert.Greater(t, near.luminance(), named.luminance(), "what may be as low stands between")
	}
	drawn := svg(t, as.Draw(174))
	for _, words := range []string{"named above", "more achieved", "low, not named", "too few to show", "none planned"} {
		assert.Contains(t, drawn, ">"+words+"<")
	}
	assert.NotContains(t, drawn, "under 35")
	assert.NotContains(t, drawn, as.Reach, "which nothing is")
	as.Arches[0].Teeth[3].Near, as.Arches[0].Teeth[3].Few, as.Arches[0].Teeth[3].Value = true, false, 0.4
	drawn = svg(t, as.Draw(174))
	assert.Contains(t, drawn, ">may be as low<")
	assert.Contains(t, drawn, ">"+as.Reach+"<", "the rule beside the look")
	for _, x := range as.Draw(174).Texts() {
		assert.LessOrEqual(t, x.Bounds().X+x.Bounds().W, 174.0, x.Text)
	}
	as.Named = false
	assert.NotContains(t, svg(t, as.Draw(174)), "named above")
}

// A value that teeth share stands once in an arch, beside a block that looks as they do,
// and in no tooth; neighbours of a kind are one block.
func TestSharedValuesStandOnce(t *testing.T) {
	a := kindsOf("a", false)
	f := Arches{Across: 1, Arches: []Arch{a}}.Draw(60)
	said := map[string]int{}
	for _, x := range f.Texts() {
		said[x.Text]++
	}
	for _, text := range []string{"52 %", "30 %", "31 %", "too few"} {
		assert.Equal(t, 1, said[text], text)
	}
	for _, tooth := range a.Teeth {
		assert.Zero(t, said[tooth.Label], "no tooth has a number of its own")
	}
	outlines := 0
	for _, it := range f.Items {
		if p, ok := it.(Polygon); ok && p.Fill == nil {
			outlines++
		}
	}
	assert.Equal(t, 14, outlines, "seven blocks a jaw")
}

// A list in the middle of an arch keeps clear of its teeth, in the widest words there are
// and pressed as flat as it goes.
func TestListsKeepClearOfTheTeeth(t *testing.T) {
	wide := kindsOf("Rotation, mesial-out", true)
	measured := kindsOf("Rotation, mesial-out", false)
	for _, k := range measured.Kinds {
		k.Values[0].Text, k.Values[0].Limits, k.Values[0].Short, k.Values[0].Strong, k.Values[0].Few = "34", "(28 to 39)", "0.77 mm", true, false
	}
	counted := kindsOf("Rotation, mesial-out", false)
	for _, k := range counted.Kinds {
		k.Values[0].Text, k.Values[0].Cases = "too few", "177 cases"
	}
	for _, x := range []struct {
		as    Arches
		tight int
	}{
		{Arches{Across: 3, Arches: []Arch{wide}}, 6},
		{Arches{Across: 2, Flat: true, Side: true, Named: true, Reach: "its CI reaches 33 %", Arches: []Arch{measured}}, 2},
		{Arches{Across: 2, Flat: true, Side: true, Arches: []Arch{counted}}, 2},
	} {
		for level := range x.tight + 1 {
			d := x.as.Tight(level).(Arches)
			f := d.Draw(174)
			teeth := outlines(f.Items)
			for i, text := range f.Texts() {
				b := text.Bounds()
				for _, other := range f.Texts()[i+1:] {
					o := other.Bounds()
					side, over := min(b.X+b.W, o.X+o.W)-max(b.X, o.X), min(b.Y+b.H, o.Y+o.H)-max(b.Y, o.Y)
					assert.False(t, side > -0.5 && over > 0.5*b.H, "%q and %q", text.Text, other.Text)
				}
				b = Box{b.X, b.Y + 0.25*b.H, b.W, 0.5 * b.H} // the letters themselves
				for _, p := range []Point{{b.X, b.Y}, {b.X + b.W, b.Y}, {b.X, b.Y + b.H}, {b.X + b.W, b.Y + b.H}} {
					for _, tooth := range teeth {
						assert.False(t, within(tooth, p), "%q is over a tooth, pressed %d", text.Text, level)
					}
				}
			}
		}
	}
}

// outlines are the shapes of the teeth.
func outlines(items []Item) (out [][]Point) {
	for _, it := range items {
		switch it := it.(type) {
		case Polygon:
			out = append(out, it.Points)
		case Key:
			out = append(out, outlines(it.Items)...)
		case Group:
			out = append(out, outlines(it.Items)...)
		}
	}
	return out
}
