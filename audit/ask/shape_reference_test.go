package ask_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/attachment"
	"shortfall/audit/ask/shape"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// referenceMouths are the invented movements of testdata/shape.csv.
func referenceMouths(t *testing.T, change func(*results.Settings, *casebook.Movement)) *rows.Set {
	t.Helper()
	s := results.DefaultSettings()
	var b audittest.Build
	for _, l := range audittest.ReadTable(t, "shape.csv") {
		style, err := casebook.ParseStyle(l["style"])
		require.NoError(t, err)
		tooth := casebook.Tooth(audittest.Num(t, l["tooth"]))
		m := b.Add("case "+l["case"], 1, tooth, casebook.Rotation, audittest.Num(t, l["planned"]), audittest.Num(t, l["achieved"]), style)
		if l["shape"] != "" {
			m.Shape, err = casebook.ParseShape(l["shape"])
			require.NoError(t, err)
			m.SizeMM = casebook.Some(audittest.Num(t, l["size"]))
		}
		if change != nil {
			change(&s, m)
		}
	}
	return b.Prepare(t, s)
}

// TestAgainstClubSandwich: R 4.2.2, clubSandwich 0.5.8, lm with a dummy for each
// case, CR2 with Satterthwaite degrees of freedom (audit/testdata/shape.R), with
// the root of CR2 on weighted rows and on the rows as they are.
func TestAgainstClubSandwich(t *testing.T) {
	for _, x := range []struct {
		name, root string
		answer     func(*rows.Set) []results.GroupComparison
		want       [5]float64
	}{
		{"attachment", results.WeightedRows, attachments, [5]float64{0.056144554310, 0.036539957456, 19.762524116, -0.020135220312, 0.132424328932}},
		{"attachment", results.EqualVariances, attachments, [5]float64{0.056144554310, 0.036436909682, 17.991034102, -0.020409286950, 0.132698395570}},
		{"shape", results.WeightedRows, shapes, [5]float64{-0.084517263593, 0.043125819858, 19.101640543, -0.174748145228, 0.005713618042}},
		{"shape", results.EqualVariances, shapes, [5]float64{-0.084517263593, 0.042762666326, 17.627773960, -0.174494466180, 0.005459938995}},
		{"size", results.WeightedRows, sizes, [5]float64{0.013423179430, 0.027200779363, 17.144739011, -0.043928564528, 0.070774923388}},
		{"size", results.EqualVariances, sizes, [5]float64{0.013423179430, 0.027669386894, 15.223328394, -0.045477456999, 0.072323815859}},
	} {
		cs := x.answer(referenceMouths(t, func(s *results.Settings, _ *casebook.Movement) { s.CR2Root = x.root }))
		require.Len(t, cs, 1, x.name)
		d := cs[0].Adjusted
		for i, got := range []results.Number{d.Difference, d.SE, d.DF, d.Low, d.High} {
			assert.InEpsilon(t, x.want[i], float64(got), 1e-6, "%s, %s, number %d", x.name, x.root, i)
		}
		assert.Empty(t, cs[0].NotAdjusted)
		assert.Contains(t, cs[0].Adjusters, "tooth")
	}
}

func attachments(p *rows.Set) []results.GroupComparison {
	return attachment.Answer(context.Background(), p).Comparisons
}

func shapes(p *rows.Set) []results.GroupComparison {
	return shape.Answer(context.Background(), p).Shapes
}

func sizes(p *rows.Set) []results.GroupComparison { return shape.Answer(context.Background(), p).Sizes }

// TestSlopeScales: sizes in tenths of a millimetre give a tenth of the slope, and the
// same verdict.
func TestSlopeScales(t *testing.T) {
	one := sizes(referenceMouths(t, nil))[0]
	ten := sizes(referenceMouths(t, func(_ *results.Settings, m *casebook.Movement) {
		if m.SizeMM.OK {
			m.SizeMM.Value *= 10
		}
	}))[0]
	assert.InEpsilon(t, float64(one.Adjusted.Difference), 10*float64(ten.Adjusted.Difference), 1e-9)
	assert.InEpsilon(t, float64(one.Adjusted.P), float64(ten.Adjusted.P), 1e-9)
	assert.Equal(t, one.Verdict, ten.Verdict)
	assert.Contains(t, one.Reading, "for each 1 mm of attachment")
}

// TestOneSizeAMouth: sizes that differ between patients only say nothing.
func TestOneSizeAMouth(t *testing.T) {
	c := sizes(referenceMouths(t, func(_ *results.Settings, m *casebook.Movement) {
		if m.SizeMM.OK {
			m.SizeMM.Value = 2 + float64(len(m.Case.ID)%2)
		}
	}))[0]
	assert.Equal(t, results.NotComparable, c.Verdict)
	assert.Equal(t, "different-patients", c.Reason)
	assert.Contains(t, c.Reading, "fewer than 10 carry several for one movement and set")
}

// TestWithholdsNeverOneShapeAlone: a rare shape is not told by what the others leave.
func TestWithholdsNeverOneShapeAlone(t *testing.T) {
	rare := map[string]bool{"case 1": true, "case 2": true}
	p := referenceMouths(t, func(s *results.Settings, m *casebook.Movement) {
		if s.Shared = true; m.Shape == casebook.Oval && rare[m.Case.ID] {
			m.Shape = casebook.Dome
		}
	})
	a := shape.Answer(context.Background(), p)
	require.Len(t, a.Shapes, 2)
	shape.Withhold(p, &a)
	for _, c := range a.Shapes {
		assert.True(t, c.Suppressed)
		assert.Zero(t, c.Group.Movements+c.Reference.Movements)
	}
}

// TestShapesInTheSheetsOwnWords stand beside ours.
func TestShapesInTheSheetsOwnWords(t *testing.T) {
	assert.Equal(t, "block is “box” (12\u00a0rows), “rectangle” (3\u00a0rows); oval is “Ellipse” (1\u00a0row)", shape.OwnWords([]casebook.WordRead{
		{Column: "attachment shape", Said: "box", Means: "block", Rows: 12},
		{Column: "attachment shape", Said: "rectangle", Means: "block", Rows: 3},
		{Column: "attachment shape", Said: "Ellipse", Means: "oval", Rows: 1},
		{Column: "attachment style", Said: "clinician", Means: "clinician-designed", Rows: 2},
	}))
	assert.Empty(t, shape.OwnWords(nil))
}
