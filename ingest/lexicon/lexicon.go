// Package lexicon knows the words in which practices write headers and values,
// in English, German, French, Spanish, Italian, Portuguese, Dutch, Polish and the
// Scandinavian languages (Danish, Norwegian and Swedish in one list).
//
// Place in the pipeline: layout reads headers with it and values reads words
// with it; it turns a text into concepts and decides nothing about a file. It
// imports only casebook and memo.
//
// The lists hold words of the trade and of bookkeeping at large: common
// practice, no source. A word that means two things in one of the languages is
// left out or is a concept of its own, so that the values of the column, or a
// question, decide.
package lexicon

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"shortfall/ingest/memo"
)

// special are letters that no decomposition turns into plain ones.
var special = strings.NewReplacer("ß", "ss", "ł", "l", "Ł", "L", "ø", "o", "Ø", "O", "æ", "ae", "œ", "oe", "ı", "i", "đ", "d",
	"№", "no", "º", "°", "′", "'", "’", "'")

// Fold writes a text in lower case, without accents, and with one space for
// everything but letters, digits and the signs ° % # + < > ±. A change from small to
// capital letters parts words: "PlannedMM" is "planned mm".
func Fold(s string) string {
	var b strings.Builder
	before := ' '
	for _, r := range norm.NFD.String(special.Replace(s)) {
		switch {
		case unicode.Is(unicode.Mn, r):
			continue
		case unicode.IsLetter(r), unicode.IsDigit(r):
			if unicode.IsUpper(r) && unicode.IsLower(before) {
				b.WriteByte(' ')
			}
			b.WriteRune(unicode.ToLower(r))
		case r == '°' || r == '%' || r == '#' || r == '±':
			b.WriteString(" " + string(r) + " ")
		case r == '+' || r == '<' || r == '>':
			b.WriteRune(r)
		default:
			b.WriteByte(' ')
		}
		before = r
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Token is one word or phrase of a text with what it means.
type Token struct {
	Text    string // folded
	Concept Concept
}

// longest phrase, in words.
const longest = 4

// dictionary maps folded words and phrases to concepts; a word that ends in *
// stands for all words that begin so and are at most four letters longer.
type dictionary struct {
	exact    map[string]Concept
	prefixes map[string]Concept // without the star
	shortest int                // letters of the shortest prefix
}

func (d *dictionary) add(c Concept, list string) {
	for w := range strings.SplitSeq(list, ",") {
		for _, form := range forms(strings.TrimSpace(w)) {
			if stem, ok := strings.CutSuffix(form, "*"); ok {
				d.prefixes[stem] = c
				d.shortest = min(d.shortest, len(stem))
				d.exact[stem] = c
			} else if form != "" {
				d.exact[form] = c
			}
		}
	}
}

// forms are a word folded, and with ä, ö and ü written ae, oe and ue.
func forms(w string) []string {
	star := ""
	if s, ok := strings.CutSuffix(w, "*"); ok {
		w, star = s, "*"
	}
	out := []string{Fold(w) + star}
	if u := umlauts.Replace(w); u != w {
		out = append(out, Fold(u)+star)
	}
	return out
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue")

// mostLetters is how many letters an ending may add to a stem.
const mostLetters = 4

func (d *dictionary) find(w string) (Concept, bool) {
	if c, ok := d.exact[w]; ok {
		return c, true
	}
	for n := len(w) - 1; n >= max(d.shortest, len(w)-mostLetters); n-- {
		if c, ok := d.prefixes[w[:n]]; ok {
			return c, true
		}
	}
	return None, false
}

// joints stand between the two halves of a compound word.
var joints = []string{"", "s", "en", "n", "es", "e"}

// compound reads a word that is made of two known ones: "zahnnummer".
func (d *dictionary) compound(w string) ([]Token, bool) {
	for at := 3; at <= len(w)-3; at++ {
		right, ok := d.find(w[at:])
		if !ok || len(w)-at < 3 {
			continue
		}
		for _, j := range joints {
			stem, cut := strings.CutSuffix(w[:at], j)
			if !cut || len(stem) < 3 {
				continue
			}
			if left, ok := d.exact[stem]; ok {
				return []Token{{stem, left}, {w[at:], right}}, true
			}
		}
	}
	return nil, false
}

// longestText that is read, in bytes: no header and no word is so long, and what
// compounds cost grows with the square of it.
const longestText = 400

// Tokens reads a text: the longest phrases first, then words, then compounds.
// A word that is not known has the concept None.
func Tokens(s string) []Token {
	if len(s) > longestText {
		return []Token{{Fold(s[:longestText]), None}}
	}
	return slices.Clone(read.Get(s, tokens))
}

// read remembers texts: a sheet repeats its words from row to row.
var read memo.Memo[string, []Token]

func tokens(s string) []Token {
	words := strings.Fields(Fold(halves.ReplaceAllString(bothWays.ReplaceAllString(s, bothWords), bothWords)))
	var out []Token
next:
	for i := 0; i < len(words); {
		for n := min(longest, len(words)-i); n > 1; n-- {
			if c, ok := words_.exact[strings.Join(words[i:i+n], " ")]; ok {
				out = append(out, Token{strings.Join(words[i:i+n], " "), c})
				i += n
				continue next
			}
		}
		out = append(out, one(words[i])...)
		i++
	}
	return withoutPrepositions(withoutCodes(out))
}

// withoutCodes takes a single letter at the end of a text, or one of some at its beginning, for
// a code and not for a small word: "tip D" is distal. No preposition stands last, and no
// "and" first.
func withoutCodes(tokens []Token) []Token {
	n := len(tokens)
	if n < 2 {
		return tokens
	}
	if last := &tokens[n-1]; last.Concept == Filler && len(last.Text) == 1 && last.Text >= "a" {
		last.Concept = None
	}
	if first := &tokens[0]; first.Concept == Filler && (first.Text == "d" || first.Text == "e" || first.Text == "i") {
		first.Concept = None
	}
	return tokens
}

// withoutPrepositions gives no weight to the small word before a side: "nach
// bukkal", "in distale", "n. dist.", "a mesial".
func withoutPrepositions(tokens []Token) []Token {
	for i := 0; i+1 < len(tokens); i++ {
		switch tokens[i+1].Concept {
		case Mesial, Distal, Buccal, Lingual, Inward, Outward:
		default:
			continue
		}
		italian := strings.HasSuffix(tokens[i+1].Text, "e")
		switch t := tokens[i].Text; {
		case t == "in" && italian, t != "in" && len(t) <= 2 && len(t) > 0 && tokens[i].Concept != Filler && !sideWord(tokens[i].Concept),
			t == "nach", t == "naar", t == "verso", t == "para", t == "hacia", t == "vers", t == "to", t == "towards":
			tokens[i].Concept = Filler
		}
	}
	return tokens
}

func sideWord(c Concept) bool {
	switch c {
	case Tip, Torque, Rotation, Shift, Vertical, MD, BL, Mesial, Distal, Buccal, Lingual, Inward, Outward, Root, Crown:
		return true
	}
	return false
}

// bothWays is the usual short form of extrusion and intrusion together: "E/I", "ext/int",
// "Ext+/Int-", "I / E" (common practice, no source). One that says that intrusion is
// positive is left out: it is read by nobody until it is asked about.
var bothWays = regexp.MustCompile(`(?i)(^|[^\pL\d])(?:e(?:xt?r?)?\.?(?: ?\(?\+\)?)? ?/ ?in?t?r?\.?(?: ?\(?[-\x{2212}\x{2013}]\)?)?|in?t?r?\.?(?: ?\(?[-\x{2212}\x{2013}]\)?)? ?/ ?e(?:xt?r?)?\.?(?: ?\(?\+\)?)?)($|[^\pL\d+(-])`)

// halves are the two words with the part they share written once: "In-/Extrusion", "Ex- und
// Intrusion", "extrusion/in-". Read by itself the whole word would give a direction.
var halves = regexp.MustCompile(`(?i)(^|[^\pL\d])(?:` + half + `[-.\x{2010}-\x{2013}]*(?: ?[/&+] ?| (?:und|u\.?|and|et|y|ed?|og|och|i|en) )[-\x{2010}-\x{2013}]?` + half + `tru[sz]\pL*|` +
	half + `tru[sz]\pL* ?/ ?[-\x{2010}-\x{2013}]?(?:in|ex)\.?-?)($|[^\pL\d])`)

const (
	half      = `(?:in|ex|eks|es)`
	bothWords = "${1} extrusion intrusion ${2}"
)

func one(w string) []Token {
	if strings.Trim(w, "+<>±") == "" {
		return []Token{{w, Filler}}
	}
	if c, ok := words_.find(w); ok {
		return []Token{{w, c}}
	}
	if stem, ok := strings.CutSuffix(w, "nr"); ok && len(stem) >= 3 {
		if c, ok := words_.find(stem); ok {
			return []Token{{stem, c}, {"nr", Number}} // "fallnr"
		}
	}
	if len(w) >= 6 {
		if both, ok := words_.compound(w); ok {
			return both
		}
	}
	return []Token{{w, None}}
}

var words_ = build()

func build() *dictionary {
	d := &dictionary{exact: map[string]Concept{}, prefixes: map[string]Concept{}, shortest: 99}
	for _, e := range vocabulary {
		for _, list := range e.lists {
			d.add(e.concept, list)
		}
	}
	return d
}

// Set is the concepts of a text.
type Set map[Concept]bool

// Of gathers the concepts of tokens, fillers and unknown words left out.
func Of(tokens []Token) Set {
	s := Set{}
	for _, t := range tokens {
		if t.Concept != None && t.Concept != Filler {
			s[t.Concept] = true
		}
	}
	return s
}

// Only reports whether a set holds all that is needed and nothing that is not allowed.
func (s Set) Only(need []Concept, allow ...Concept) bool {
	for _, c := range need {
		if !s[c] {
			return false
		}
	}
	for c := range s {
		if !slices.Contains(need, c) && !slices.Contains(allow, c) {
			return false
		}
	}
	return true
}

// Beginning lists the known words that begin with a cut one of at least three
// letters, where all of them mean the same; none where they differ.
func Beginning(cut string) []string {
	cut = Fold(cut)
	var out []string
	meant := None
	for _, of := range []map[string]Concept{words_.exact, words_.prefixes} {
		// any order: words that mean two things mean none, and the list is sorted
		for w, c := range of {
			if len(cut) < 3 || !strings.HasPrefix(w, cut) || strings.Contains(w, " ") {
				continue
			}
			if meant != None && c != meant {
				return nil
			}
			meant = c
			out = append(out, w)
		}
	}
	slices.Sort(out)
	return out
}

// AllKnown reports a text of words of the trade alone, with numbers, single
// letters and signs among them: it cannot name anybody.
func AllKnown(s string) bool {
	if len(s) > longestText {
		return allKnown(s)
	}
	return innocent.Get(s, allKnown)
}

// innocent remembers texts as read does.
var innocent memo.Memo[string, bool]

func allKnown(s string) bool {
	known := 0
	for _, t := range Tokens(s) {
		switch {
		case t.Concept == Person, t.Concept == Notes:
			return false
		case t.Concept != None:
			known++
		case strings.Trim(t.Text, "0123456789") == "" && len(t.Text) <= 3, len(t.Text) <= 2:
		default:
			return false
		}
	}
	return known > 0
}

// Unknown lists the words of tokens that have no meaning here.
func Unknown(tokens []Token) []string {
	var out []string
	for _, t := range tokens {
		if t.Concept == None {
			out = append(out, t.Text)
		}
	}
	return out
}
