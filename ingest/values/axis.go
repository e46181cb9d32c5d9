package values

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
)

// axisWords are usual names of the axes in the trade (common practice, no
// source). Names that fit two axes, such as "tipping" alone, are left out.
var axisWords = tableOf(casebook.Axes(), map[casebook.Axis][]string{
	casebook.Vertical:          {"extrusion/intrusion", "intrusion/extrusion", "ext/int", "int/ext", "vertical movement", "vertical displacement"},
	casebook.Rotation:          {"rot", "derotation", "rotation about the long axis", "axial rotation"},
	casebook.Tip:               {"tip", "md tip", "mesiodistal tipping", "m-d tip", "mesiodistal angulation", "angulation", "mesio-distal tip"},
	casebook.Torque:            {"torque", "bl torque", "buccolingual tip", "buccolingual inclination", "inclination", "bucco-lingual torque", "labiolingual torque"},
	casebook.MesiodistalShift:  {"mesiodistal", "md shift", "mesiodistal translation", "mesiodistal movement", "mesiodistal displacement", "mesialisation/distalisation", "mesialization/distalization"},
	casebook.BuccolingualShift: {"buccolingual", "bl shift", "buccolingual translation", "buccolingual movement", "buccolingual displacement", "labiolingual shift", "expansion/constriction"},
})

// directionWords are names that give the axis and the direction at once.
var directionWords = tableOf(casebook.Directions(), map[casebook.Direction][]string{
	casebook.Extrusion:    {"extrude", "ext", "extr", "extruded"},
	casebook.Intrusion:    {"intrude", "int", "intr", "intruded"},
	casebook.MesialIn:     {"mesial-in rotation", "rotation distal-out", "mesial in", "mesial inward", "distal out"},
	casebook.MesialOut:    {"mesial-out rotation", "rotation distal-in", "mesial out", "mesial outward", "distal in"},
	casebook.TipMesial:    {"mesial tip", "mesial crown tip", "tip mesially", "mesial tipping"},
	casebook.TipDistal:    {"distal tip", "distal crown tip", "tip distally", "distal tipping"},
	casebook.TorqueBuccal: {"buccal torque", "buccal crown torque", "labial crown torque", "labial torque", "torque labial"},
	casebook.TorqueLingual: {
		"lingual torque", "lingual crown torque", "palatal crown torque", "palatal torque", "torque palatal",
	},
	casebook.ShiftMesial:  {"mesialisation", "mesialization", "mesial shift", "mesial movement", "mesial translation"},
	casebook.ShiftDistal:  {"distalisation", "distalization", "distal shift", "distal movement", "distal translation"},
	casebook.ShiftBuccal:  {"buccal shift", "expansion", "buccal movement", "labial shift", "shift labial", "buccal translation"},
	casebook.ShiftLingual: {"lingual shift", "constriction", "lingual movement", "palatal shift", "shift palatal", "lingual translation"},
})

// letters are directions written short, whose meaning depends on the axis.
var letters = map[casebook.Axis]map[string]float64{
	casebook.Vertical:          {"e": 1, "ext": 1, "i": -1, "int": -1},
	casebook.Rotation:          {"mi": 1, "do": 1, "mo": -1, "di": -1},
	casebook.Tip:               {"m": 1, "mesial": 1, "d": -1, "distal": -1},
	casebook.Torque:            {"b": 1, "buccal": 1, "labial": 1, "l": -1, "lingual": -1, "palatal": -1, "p": -1},
	casebook.MesiodistalShift:  {"m": 1, "mesial": 1, "d": -1, "distal": -1},
	casebook.BuccolingualShift: {"b": 1, "buccal": 1, "labial": 1, "l": -1, "lingual": -1, "palatal": -1, "p": -1},
}

// ParseAxis reads an axis, or a direction, which gives its axis too.
func ParseAxis(s string) (casebook.Axis, casebook.Direction, error) {
	a, err := axisOf(s)
	return a.axis, a.direction, err
}

// axisWord is what a word of the column of movements says.
type axisWord struct {
	axis      casebook.Axis
	direction casebook.Direction
}

var axisOf = remembered(func(s string) (axisWord, error) {
	k := Key(s)
	if a, ok := axisWords[k]; ok {
		return axisWord{a, casebook.NoDirection}, nil
	}
	if d, ok := directionWords[k]; ok {
		return axisWord{d.Axis(), d}, nil
	}
	a, d, err := axisByConcepts(s)
	return axisWord{a, d}, err
})

// ParseDirection reads a direction word or letter along an axis; NoAxis asks
// for a word that needs none.
func ParseDirection(s string, a casebook.Axis) (casebook.Direction, error) {
	return directionOf(a, s)
}

var directionOf = rememberedBy(func(a casebook.Axis, s string) (casebook.Direction, error) {
	k := Key(s)
	if sign, ok := letters[a][k]; ok {
		return casebook.DirectionOf(a, sign), nil
	}
	if toothWords(s) {
		return casebook.NoDirection, Fail{rules.WordUnknown, "which way that is depends on the tooth and on where one stands: write the direction at the tooth", true}
	}
	d, ok := directionWords[k]
	if !ok {
		d, ok = directionByConcepts(s, a)
	}
	switch {
	case !ok:
		return casebook.NoDirection, fail(rules.WordUnknown, "the cell is no known direction of the axis")
	case a != casebook.NoAxis && d.Axis() != a:
		return casebook.NoDirection, fail(rules.AxisAgainstWord, "the direction belongs to another axis")
	}
	return d, nil
})

// axisByConcepts reads an axis word by word, in the languages of the lexicon;
// every word must be known.
func axisByConcepts(s string) (casebook.Axis, casebook.Direction, error) {
	tokens := lexicon.Tokens(s)
	set := lexicon.Of(tokens)
	unknown := func(message string) (casebook.Axis, casebook.Direction, error) {
		return casebook.NoAxis, casebook.NoDirection, fail(rules.AxisUnknown, message)
	}
	explained := func(message string) (casebook.Axis, casebook.Direction, error) {
		return casebook.NoAxis, casebook.NoDirection, Fail{rules.AxisUnknown, message, true}
	}
	switch {
	case set[lexicon.Clockwise], set[lexicon.Anticlockwise]:
		return explained("the direction of a clock depends on the side of the mouth and on where one stands")
	}
	axis, dir, rest, ok := lexicon.Axis(set)
	delete(rest, lexicon.Movement)
	delete(rest, lexicon.Millimetre)
	delete(rest, lexicon.Degree)
	delete(rest, lexicon.Tooth)
	if !ok || len(rest) > 0 || len(lexicon.Unknown(tokens)) > 0 {
		return unknown("the cell is no known axis")
	}
	return axis, dir, nil
}

func directionByConcepts(s string, a casebook.Axis) (casebook.Direction, bool) {
	tokens := lexicon.Tokens(s)
	if len(lexicon.Unknown(tokens)) > 0 {
		return casebook.NoDirection, false
	}
	if d, ok := lexicon.DirectionAlong(lexicon.Of(tokens), a); ok {
		return d, true
	}
	// A direction of another axis is found too, so that it can be refused.
	return lexicon.DirectionAlong(lexicon.Of(tokens), casebook.NoAxis)
}

// toothWords reports a direction that is another one for another tooth: of a
// clock, up and down, right and left.
func toothWords(s string) bool {
	set := lexicon.Of(lexicon.Tokens(s))
	for _, c := range []lexicon.Concept{lexicon.Clockwise, lexicon.Anticlockwise, lexicon.Up, lexicon.Down} {
		if set[c] {
			return true
		}
	}
	return len(set) == 1 && (set[lexicon.Right] || set[lexicon.Left])
}
