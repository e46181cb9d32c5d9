package values

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// The reading of clock words is held to a model of the arches that knows no table of
// quadrants: teeth on a parabola in space (x to the patient's right, y forward, z up, which
// is right-handed),
// turned by the vector that a clockwise turn has for one who looks along it.
func TestClockAgainstGeometry(t *testing.T) {
	for _, tooth := range casebook.AllTeeth() {
		position := float64(tooth % 10)
		side := 1.0 // the patient's right
		if tooth/10 == 2 || tooth/10 == 3 {
			side = -1
		}
		x := side * (position - 0.5)
		// The arch is y = -x²/6: its tangent towards the midline is mesial, outward is
		// away from the middle of the arch.
		mesial := vector{-side, side * x / 3, 0}.unit()
		outward := vector{mesial.y, -mesial.x, 0}
		if outward.x*x+outward.y*1e-9 < 0 && position > 1 || position == 1 && outward.y < 0 {
			outward = vector{-outward.x, -outward.y, 0}
		}
		gaze := vector{0, 0, 1} // onto the biting surface of an upper tooth one looks up
		if tooth.Arch() == casebook.Lower {
			gaze = vector{0, 0, -1}
		}
		// A turn clockwise for one who looks along an axis is right-handed about it.
		moved := gaze.cross(mesial)
		want := casebook.MesialOut
		if moved.dot(outward) < 0 {
			want = casebook.MesialIn
		}
		v := View{Clock: Occlusal}
		assert.Equal(t, want, v.AtTooth("clockwise", tooth, casebook.NoAxis), tooth)
		assert.NotEqual(t, want, v.AtTooth("gegen den Uhrzeigersinn", tooth, casebook.Rotation), tooth)
		assert.NotEqual(t, want, View{Clock: Apical}.AtTooth("clockwise", tooth, casebook.NoAxis), tooth)
		assert.Equal(t, casebook.NoDirection, View{}.AtTooth("clockwise", tooth, casebook.NoAxis), "the view is not known")
		assert.Equal(t, casebook.NoDirection, v.AtTooth("clockwise", tooth, casebook.Torque))

		// To the patient's right is along the mesial vector where that points there.
		right := casebook.ShiftDistal
		if mesial.x > 0 {
			right = casebook.ShiftMesial
		}
		assert.Equal(t, right, View{Sides: OfPatient}.AtTooth("to the right", tooth, casebook.MesiodistalShift), tooth)
		assert.NotEqual(t, right, View{Sides: OfObserver}.AtTooth("nach rechts", tooth, casebook.MesiodistalShift), tooth)
		assert.Equal(t, casebook.NoDirection, View{Sides: OfPatient}.AtTooth("right", tooth, casebook.NoAxis))

		down := casebook.Intrusion
		if tooth.Arch() == casebook.Upper {
			down = casebook.Extrusion // out of its socket
		}
		assert.Equal(t, down, View{}.AtTooth("down", tooth, casebook.Vertical), tooth)
		assert.NotEqual(t, down, View{}.AtTooth("vers le haut", tooth, casebook.NoAxis), tooth)
	}
	assert.Equal(t, casebook.ShiftBuccal, View{Sides: OfPatient}.AtTooth("right", 16, casebook.BuccolingualShift))
	assert.Equal(t, casebook.NoDirection, View{Sides: OfPatient}.AtTooth("right", 11, casebook.BuccolingualShift), "an incisor's cheek side is in front")
}

type vector struct{ x, y, z float64 }

func (a vector) dot(b vector) float64 { return a.x*b.x + a.y*b.y + a.z*b.z }

func (a vector) cross(b vector) vector {
	return vector{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

func (a vector) unit() vector {
	n := math.Sqrt(a.dot(a))
	return vector{a.x / n, a.y / n, a.z / n}
}

func TestViewsInTexts(t *testing.T) {
	for text, want := range map[string]View{
		"Rotation as seen from occlusal":             {Clock: Occlusal},
		"Rotación vista desde oclusal: + horario":    {Clock: Occlusal},
		"im Uhrzeigersinn, von apikal gesehen":       {Clock: Apical},
		"Right and left are the patient's":           {Sides: OfPatient},
		"rechts und links aus Sicht des Betrachters": {Sides: OfObserver},
		"patient code":      {},
		"occlusal contacts": {},
	} {
		var v View
		assert.True(t, v.ViewIn(text))
		assert.Equal(t, want, v, text)
	}
	v := View{Clock: Apical}
	assert.False(t, v.ViewIn("rotation seen from occlusal"), "two texts that disagree")
}

func TestToothOfDate(t *testing.T) {
	// 1 March 2025 is serial day 45717 (any spreadsheet program: =DATE(2025;3;1)).
	assert.Equal(t, "13", ToothOfDate("45717", false, true))
	assert.Equal(t, "31", ToothOfDate("45717", false, false))
	assert.Empty(t, ToothOfDate("45721", false, true), "5 March: there is no fifth quadrant")
	assert.Equal(t, "35", ToothOfDate("45721", false, false))
	assert.Empty(t, ToothOfDate("45717.5", false, true))
}
