package ingest

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
		return "sizes"
	case kind == "style":
		return styleAnswers[want.words("style words")[rest]]
	}
	return ""
}
