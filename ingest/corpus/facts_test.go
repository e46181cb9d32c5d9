package corpus

import (
	"encoding/json"
	"strings"

	"shortfall/ingest/question"
)

// text of a fact, "" where there is none or it is no text.
func (w truth) text(key string) string {
	var s string
	_ = json.Unmarshal(w.Facts[key], &s)
	return s
}

// words of a fact that gives a meaning for each of several words.
func (w truth) words(key string) map[string]string {
	var raw map[string]any
	_ = json.Unmarshal(w.Facts[key], &raw)
	out := map[string]string{}
	for k, v := range raw {
		if s, ok := v.(string); ok {
			out[k] = s
		}
	}
	return out
}

// styleAnswers are the words of our questions for the styles of a truth.
var styleAnswers = map[string]string{
	"none": "none", "software-suggested": "software", "clinician-designed": "clinician", "not recorded": "not recorded",
}

// answerOf turns a fact into the answer to a question; "" where the facts do
// not tell, or the question does not offer what they say.
func answerOf(q question.Question, want truth) string {
	word := factFor(q, want)
	if q.Has(word) {
		return word
	}
	return ""
}

func factFor(q question.Question, want truth) string {
	switch kind, rest, _ := strings.Cut(q.ID, " "); {
	case q.ID == "notation":
		return want.text("notation")
	case q.ID == "dates":
		return want.text("date order")
	case q.ID == "blank attachment":
		return want.text("blank style means")
	case q.ID == "attachment yes":
		for w, style := range want.words("style words") {
			if style != "none" && w != "no" {
				return styleAnswers[style]
			}
		}
	case q.ID == "course numbers":
		return map[string]string{"0": "refinements", "1": "courses"}[string(want.Facts["first course number"])]
	case q.ID == "positions":
		return strings.Fields(want.text("amounts are") + " -")[0]
	case q.ID == "signs" && len(want.Facts["amounts without direction"]) > 0:
		for _, d := range want.words("amounts without direction") {
			if d != "not recorded" {
				return "" // some axes have a direction: no choice says so
			}
		}
		return "sizes"
	case q.Group != nil && q.Group.ID == "positive":
		return positiveFact(q, want)
	case q.ID == "percent" && want.text("percent means") != "":
		return strings.Fields(want.text("percent means"))[0]
	case q.ID == "twice" && strings.HasPrefix(want.text("same movement twice"), "the later"):
		return "later"
	case q.ID == "residual":
		for _, m := range want.words("amounts are") {
			if strings.HasPrefix(m, "still missing") {
				return "residual"
			}
			if q.Has(m) {
				return m
			}
		}
	case kind == "achieved":
		return map[string]string{"not measured": "not measured", "no movement (0)": "zero"}[want.text(rest+" in achieved means")]
	case kind == "axis":
		if a := want.words("axis words")[rest]; a != "" {
			return a
		}
		return directionFact(want.words("letters")[rest])
	case kind == "direction":
		w, _, _ := strings.Cut(rest, " of ")
		return directionFact(want.words("direction words")[w])
	case kind == "style":
		return styleAnswers[want.words("style words")[rest]]
	}
	return ""
}

// directionNames are the directions of a truth in our words.
var directionNames = map[string]string{
	"extrusion": "extrusion", "intrusion": "intrusion", "mesial side inward": "rotation mesial-in", "distal side inward": "rotation mesial-out",
	"crown mesial": "tip mesial", "crown distal": "tip distal", "crown buccal": "torque buccal", "crown lingual": "torque lingual",
	"mesial": "shift mesial", "distal": "shift distal", "buccal": "shift buccal", "lingual": "shift lingual",
}

// directionFact reads "vertical: extrusion" or "buccal".
func directionFact(s string) string {
	if _, d, ok := strings.Cut(s, ": "); ok {
		s = d
	}
	return directionNames[s]
}

// positiveFact gives the choice that agrees with what positive means on the axis of the
// question: what the truth says of it, else the usual direction.
func positiveFact(q question.Question, want truth) string {
	facts := want.words("positive means")
	if len(facts) == 0 {
		return ""
	}
	for _, d := range facts {
		if name := directionFact(d); q.Has(name) {
			return name
		}
	}
	return q.Choices[0].Word
}
