package values

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// View says from where the directions of a file are told, which those of a clock
// and right and left need. The zero value is not known.
type View struct {
	Clock Seen // the side from which a rotation is seen
	Sides Seen // whose right and left
}

// Seen is a side from which one looks, or the one whose right and left are meant.
type Seen uint8

// The sides.
const (
	NotSaid    Seen = iota
	Occlusal        // onto the biting surface
	Apical          // from the root
	OfPatient       // the patient's own right and left
	OfObserver      // of one who faces the patient
)

// viewWords name a side from which one looks, in eight languages, by the beginning
// of a folded word (common practice, no source).
var viewWords = map[Seen][]string{
	Occlusal:   {"occlus", "okklus", "oclus", "okluz", "incisal", "inzisal", "incizal"},
	Apical:     {"apical", "apikal", "apicale", "gingiv", "gengiv", "radicul", "wurzel"},
	OfPatient:  {"patient", "pazient", "pacient", "pacjent"},
	OfObserver: {"observer", "viewer", "betrachter", "observateur", "observador", "osservatore", "kijker", "waarnemer", "obserwator", "screen", "bildschirm", "photo", "foto"},
}

// ViewIn adds what a loose text says about the sides of view: a text that speaks of
// a clock for the clock, one that speaks of right and left for the sides. ok is false
// where two texts disagree.
func (v *View) ViewIn(text string) (ok bool) {
	if len(text) > 300 {
		return true
	}
	set := lexicon.Of(lexicon.Tokens(text))
	folded := strings.Fields(lexicon.Fold(text))
	clock := set[lexicon.Clockwise] || set[lexicon.Anticlockwise] || set[lexicon.Rotation]
	sides := set[lexicon.Right] && set[lexicon.Left] || set[lexicon.Side]
	return join(&v.Clock, clock, folded, Occlusal, Apical) && join(&v.Sides, sides, folded, OfPatient, OfObserver)
}

func join(to *Seen, spoken bool, words []string, choices ...Seen) bool {
	if !spoken {
		return true
	}
	for _, c := range choices {
		for _, stem := range viewWords[c] {
			if !slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, stem) }) {
				continue
			}
			if *to != NotSaid && *to != c {
				return false
			}
			*to = c
			break
		}
	}
	return true
}

// Turning is a direction in words that is another one for another tooth.
type Turning uint8

// The kinds of such words.
const (
	NoTurning Turning = iota
	OfClock           // clockwise and anticlockwise
	UpDown
	RightLeft
)

// TurningOf reports what kind of such a direction a text is.
func TurningOf(s string) Turning {
	set := lexicon.Of(lexicon.Tokens(s))
	switch {
	case set[lexicon.Clockwise] != set[lexicon.Anticlockwise]:
		return OfClock
	case set[lexicon.Up] != set[lexicon.Down]:
		return UpDown
	case set.Only([]lexicon.Concept{lexicon.Right}, ofPatient...), set.Only([]lexicon.Concept{lexicon.Left}, ofPatient...):
		return RightLeft
	}
	return NoTurning
}

// ofPatient may stand beside right and left: "to patient's left", whose "s" is read as yes.
var ofPatient = []lexicon.Concept{lexicon.Case, lexicon.Yes}

// AtTooth gives the direction that such a word means at a tooth, NoDirection where
// the view does not tell or the word does not fit the axis; NoAxis fits any.
//
// Seen onto the biting surface the upper right quadrant has its mesial side on the
// right hand of one who looks and the cheek above, so that clockwise turns the mesial
// side inward; in the mirror image, upper left, it turns it outward. The lower arch is
// seen from above and is the mirror image of the upper one. From the root all is
// turned. Upward is into the jaw above and out of the jaw below. Away from the
// midline is distal along the arch, and buccal across it where teeth stand beside
// the midline plane, from the canine backward. (Anatomy; common practice, no source.)
func (v View) AtTooth(s string, t casebook.Tooth, axis casebook.Axis) casebook.Direction {
	set := lexicon.Of(lexicon.Tokens(s))
	upper, right := t.Arch() == casebook.Upper, t.In(casebook.Palmer)[1] == 'R'
	sign := func(yes bool) float64 {
		if yes {
			return 1
		}
		return -1
	}
	switch TurningOf(s) {
	case OfClock:
		if v.Clock == NotSaid || axis != casebook.NoAxis && axis != casebook.Rotation {
			return casebook.NoDirection
		}
		inward := set[lexicon.Clockwise] == (upper == right)
		return casebook.DirectionOf(casebook.Rotation, sign(inward == (v.Clock == Occlusal)))
	case UpDown:
		if axis != casebook.NoAxis && axis != casebook.Vertical {
			return casebook.NoDirection
		}
		return casebook.DirectionOf(casebook.Vertical, sign(set[lexicon.Down] == upper))
	case RightLeft:
		toRight := set[lexicon.Right] == (v.Sides == OfPatient)
		outward := toRight == right
		switch {
		case v.Sides == NotSaid:
		case axis == casebook.MesiodistalShift, axis == casebook.Tip:
			return casebook.DirectionOf(axis, sign(!outward))
		case (axis == casebook.BuccolingualShift || axis == casebook.Torque) && t.In(casebook.Palmer)[2] >= '3':
			return casebook.DirectionOf(axis, sign(outward))
		}
	}
	return casebook.NoDirection
}
