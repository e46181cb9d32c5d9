package values

import (
	"strconv"
	"strings"

	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
)

// ordinals are the numbers of order from 1, in the languages of the lexicon: "*" ends a stem
// whose endings are those of gender and case.
var ordinals = [][]string{
	{"first", "erst*", "premier*", "primer*", "prim*", "eerste", "primeir*", "pierwsz*", "forste", "forsta"},
	{"second", "zweit*", "deuxieme", "second*", "segund*", "tweede", "drug*", "anden", "andet", "andre", "andra"},
	{"third", "dritt*", "troisieme", "tercer*", "terz*", "derde", "terceir*", "trzeci*", "tredje"},
	{"fourth", "viert*", "quatrieme", "cuart*", "quart*", "vierde", "czwart*", "fjerde", "fjarde"},
	{"fifth", "funft*", "cinquieme", "quint*", "vijfde", "piat*", "femte"},
	{"sixth", "sechst*", "sixieme", "sext*", "sest*", "zesde", "szost*", "sjette", "sjatte"},
}

// ordinalEndings may stand behind a stem.
var ordinalEndings = map[string]bool{"": true, "e": true, "er": true, "es": true, "en": true, "em": true, "ere": true, "o": true, "a": true, "y": true, "i": true, "ie": true, "ia": true}

// figureEndings make a figure a number of order.
var figureEndings = map[string]bool{
	".": true, "st": true, "nd": true, "rd": true, "th": true, "e": true, "er": true, "re": true, "ere": true, "eme": true, "de": true, "ste": true, "a": true, "o": true,
	"ª": true, "º": true, "°": true,
}

// Ordinal reads a text that is a number of order and nothing else, of 1 to 6: "tweede",
// "2nd", "2.", "deuxième". What it counts is for the header to say.
func Ordinal(s string) (n int, ok bool) {
	n, err := order(s)
	return n, err == nil
}

var order = remembered(func(s string) (int, error) {
	text := strings.TrimSpace(strings.ToLower(s))
	if text == "" {
		return 0, errNoOrder
	}
	if n, err := strconv.Atoi(text[:1]); err == nil {
		end := text[1:]
		if n >= 1 && n <= len(ordinals) && (figureEndings[end] || end != "" && figureEndings[lexicon.Fold(end)]) {
			return n, nil
		}
		return 0, errNoOrder
	}
	folded := lexicon.Fold(text)
	for i, words := range ordinals {
		for _, w := range words {
			stem, ends := strings.CutSuffix(w, "*")
			end, ok := strings.CutPrefix(folded, stem)
			if ok && (end == "" && !ends || ends && ordinalEndings[end]) {
				return i + 1, nil
			}
		}
	}
	return 0, errNoOrder
})

var errNoOrder = fail(rules.CourseUnknown, "the cell is no number of order")
