package values

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
)

// Key folds a word for comparison: lower case, one space between words,
// hyphens, underscores and slashes as spaces.
func Key(s string) string {
	var b [48]byte
	n, ok := plainKey(s, &b)
	switch {
	case !ok:
		return anyKey(s)
	case n == len(s) && string(b[:n]) == s:
		return s
	}
	return string(b[:n])
}

// Same reports texts of one Key.
func Same(a, b string) bool {
	if beginOtherwise(a, b) {
		return false
	}
	var x, y [48]byte
	n, plainA := plainKey(a, &x)
	m, plainB := plainKey(b, &y)
	if plainA && plainB {
		return string(x[:n]) == string(y[:m])
	}
	return Key(a) == Key(b)
}

// beginOtherwise reports texts that begin with different letters or digits of ASCII, with
// which their keys begin too: a look at nearly any two texts.
func beginOtherwise(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	x, y := beginning[a[0]], beginning[b[0]]
	return x != y && x > 0 && y > 0
}

// beginning is a small letter or a digit for each of ASCII, 0 for anything else.
var beginning = func() (out [1 << 8]byte) {
	for c := byte('0'); c <= '9'; c++ {
		out[c] = c
	}
	for c := byte('a'); c <= 'z'; c++ {
		out[c], out[c-'a'+'A'] = c, c
	}
	return out
}()

// in looks a text up by its Key, of which it makes no copy where it is a plain one.
func (t table[E]) in(s string) (E, bool) {
	var b [48]byte
	if n, ok := plainKey(s, &b); ok {
		v, known := t[string(b[:n])]
		return v, known
	}
	v, known := t[anyKey(s)]
	return v, known
}

// plainKey writes the Key of short texts of ASCII, which nearly all are: it is asked of each
// cell several times, and mostly gives the text itself (BenchmarkKey).
func plainKey(s string, b *[48]byte) (n int, ok bool) {
	if len(s) > len(b) {
		return 0, false
	}
	gap := false
	for i := range len(s) {
		c := s[i]
		switch {
		case c >= utf8.RuneSelf:
			return 0, false
		case c >= 'A' && c <= 'Z':
			c += 'a' - 'A'
		case c == ' ' || c >= '\t' && c <= '\r' || strings.IndexByte(separators, c) >= 0:
			gap = true
			continue
		}
		if gap && n > 0 {
			b[n] = ' '
			n++
		}
		gap = false
		b[n] = c
		n++
	}
	return n, true
}

// separators count as spaces, and so does the typographic apostrophe.
const separators = `-_/\:;.'"#`

func anyKey(s string) string {
	s = strings.ToLower(tidy(s))
	s = strings.Map(func(r rune) rune {
		if r == '’' || strings.ContainsRune(separators, r) {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// table maps folded words to values; the canonical names are always in it.
type table[E comparable] map[string]E

func tableOf[E interface {
	comparable
	String() string
}](values []E, more map[E][]string,
) table[E] {
	t := table[E]{}
	for _, v := range values {
		t[Key(v.String())] = v
		for _, w := range more[v] {
			t[Key(w)] = v
		}
	}
	return t
}

var (
	styleWords = tableOf(casebook.Styles(), map[casebook.Style][]string{
		casebook.StyleNone:         {"no", "no feature", "no attachment", "without", "0"},
		casebook.SoftwareSuggested: {"software", "suggested", "sw", "automatic", "auto", "by software", "system", "default"},
		casebook.ClinicianDesigned: {"clinician", "designed", "doctor", "dr", "manual", "custom", "own", "own design", "by clinician", "orthodontist", "operator"},
	})
	shapeWords = tableOf(casebook.Shapes(), map[casebook.Shape][]string{
		casebook.Block: {"rectangular", "rectangle", "rect", "box"},
		casebook.Wedge: {"bevelled", "beveled", "bevel"},
		casebook.Oval:  {"ellipsoid", "ellipse", "elliptical"},
		casebook.Dome:  {"hemisphere", "hemispherical", "half sphere", "button"},
		casebook.Pair:  {"paired", "double", "twin"},
	})
	orientationWords = tableOf(casebook.Orientations(), map[casebook.Orientation][]string{
		casebook.VerticalFace: {"vert", "v"}, casebook.HorizontalFace: {"horiz", "h"}, casebook.ObliqueFace: {"diagonal"},
	})
	stagingWords = tableOf(casebook.Stagings(), map[casebook.Staging][]string{
		casebook.Combined: {"simultaneous", "together", "at once"}, casebook.Sequenced: {"sequential", "staged", "one after another", "separate"},
	})
	statusWords = tableOf(casebook.Statuses(), map[casebook.Status][]string{
		casebook.Completed:      {"complete", "finished", "done", "closed"},
		casebook.Discontinued:   {"stopped", "abandoned", "dropped out", "dropout", "lost to follow up"},
		casebook.Switched:       {"switched", "switched to braces", "switched to fixed", "braces", "changed appliance"},
		casebook.Transferred:    {"moved", "transfer", "transferred out"},
		casebook.UnderTreatment: {"in treatment", "active", "ongoing", "in progress", "open", "current"},
	})
	wearWords = tableOf(casebook.Wears(), map[casebook.Wear][]string{
		casebook.WearGood: {"excellent", "very good"}, casebook.WearFair: {"moderate", "average", "medium", "ok"}, casebook.WearPoor: {"bad", "low"},
	})
	ageWords = tableOf(casebook.AgeBands(), map[casebook.AgeBand][]string{
		casebook.AgeUnder12: {"<12", "0-11", "below 12"},
		casebook.Age12To17:  {"12 to 17"},
		casebook.Age18To29:  {"18 to 29"},
		casebook.Age30To44:  {"30 to 44"},
		casebook.Age45To59:  {"45 to 59"},
		casebook.Age60Plus:  {"60+", "60 plus", ">=60", "over 60", "60 and older"},
	})
	yesNoWords = table[bool]{
		"yes": true, "y": true, "true": true, "1": true, "x": true, "lost": true, "debonded": true,
		"no": false, "n": false, "false": false, "0": false, "kept": false, "intact": false,
	}
)

func look[E comparable](t table[E], s, what string, id rules.ID) (E, error) {
	if v, ok := t.in(s); ok {
		return v, nil
	}
	var zero E
	return zero, fail(id, "the cell is no known "+what)
}

// lookOr is look that reads the languages of the lexicon too.
func lookOr[E comparable](t table[E], words map[lexicon.Concept]E, s, what string, id rules.ID) (E, error) {
	if v, ok := t.in(s); ok {
		return v, nil
	}
	if w, ok := byConcept(s, words); ok {
		return w, nil
	}
	return look(t, s, what, id)
}

// ParseStyle reads the style of a feature.
func ParseStyle(s string) (casebook.Style, error) { return style(s) }

var style = remembered(func(s string) (casebook.Style, error) {
	if v, ok := styleByConcept(s); ok && Key(s) != "" {
		if _, known := styleWords.in(s); !known {
			return v, nil
		}
	}
	return look(styleWords, s, "feature style", rules.StyleUnknown)
})

// ParseShape reads the shape of a feature.
func ParseShape(s string) (casebook.Shape, error) {
	return shape(s)
}

var shape = remembered(func(s string) (casebook.Shape, error) {
	return lookOr(shapeWords, shapeConcepts, s, "feature shape", rules.WordUnknown)
})

// ParseOrientation reads the orientation of a feature.
func ParseOrientation(s string) (casebook.Orientation, error) {
	return lookOr(orientationWords, orientationConcepts, s, "orientation", rules.WordUnknown)
}

// ParseStaging reads the staging of a movement.
func ParseStaging(s string) (casebook.Staging, error) {
	return lookOr(stagingWords, stagingConcepts, s, "staging", rules.WordUnknown)
}

// ParseStatus reads the status of a case.
func ParseStatus(s string) (casebook.Status, error) {
	return lookOr(statusWords, statusConcepts, s, "case status", rules.WordUnknown)
}

// ParseWear reads a wear rating.
func ParseWear(s string) (casebook.Wear, error) {
	return lookOr(wearWords, wearConcepts, s, "wear rating", rules.WordUnknown)
}

// ParseAgeBand reads an age band.
func ParseAgeBand(s string) (casebook.AgeBand, error) {
	return look(ageWords, s, "age band", rules.WordUnknown)
}

// plainWords are what cells say in the columns of plain words, by field.
var plainWords = func() map[columns.Field]table[string] {
	out := map[columns.Field]table[string]{}
	for _, k := range casebook.Kinds() {
		for _, d := range columns.Plain(k) {
			out[d.Field] = table[string]{}
			for i, w := range d.Words {
				for m := range strings.SplitSeq(w+","+d.Meanings[i], ",") {
					out[d.Field][PlainKey(m)] = w
				}
			}
		}
	}
	return out
}()

// PlainKey is a text without case, accents and words that carry no meaning.
func PlainKey(s string) string {
	var words []string
	for w := range strings.FieldsSeq(lexicon.Fold(s)) {
		if lexicon.Tokens(w)[0].Concept != lexicon.Filler {
			words = append(words, w)
		}
	}
	return strings.Join(words, " ")
}

// ParsePlain reads a word of a column of plain words.
func ParsePlain(f columns.Field, s string) (string, error) { return plainWord(f, s) }

var plainWord = rememberedBy(func(f columns.Field, s string) (string, error) {
	if w, ok := plainWords[f][PlainKey(s)]; ok {
		return w, nil
	}
	return "", fail(rules.WordUnknown, "the cell is no known word for "+strconv.Quote(f.String()))
})

// ParseYesNo reads yes or no.
func ParseYesNo(s string) (bool, error) { return yesNo(s) }

var yesNo = remembered(func(s string) (bool, error) {
	return lookOr(yesNoWords, yesNoConcepts, s, "yes or no", rules.WordUnknown)
})

// ParseCount reads a whole number, 0 or more.
func ParseCount(s string) (int, error) { return count(s) }

var count = remembered(func(s string) (int, error) {
	t := strings.TrimSuffix(tidy(s), ".0")
	n, err := strconv.Atoi(t)
	if err != nil || n < 0 || n > 1_000_000 {
		return 0, fail(rules.CountUnreadable, "the cell is not a whole number")
	}
	return n, nil
})
