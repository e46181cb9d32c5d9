package privacy

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
)

//go:embed words/given.txt
var givenList string

//go:embed words/common.txt
var commonList string

var (
	givenNames = wordsOf(givenList)
	known      = knownWords()
)

func wordsOf(list string) map[string]bool {
	m := map[string]bool{}
	for line := range strings.Lines(list) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for _, w := range strings.Fields(line) {
			m[w] = true
		}
	}
	return m
}

// knownWords are the common words and every word of the columns and the vocabulary.
func knownWords() map[string]bool {
	m := wordsOf(commonList)
	add := func(text string) {
		for _, w := range strings.Fields(fold(text)) {
			m[w] = true
		}
	}
	for _, k := range casebook.Kinds() {
		for _, d := range columns.Of(k) {
			add(d.Header)
			for _, w := range slices.Concat(d.Words, d.Synonyms, d.Meanings) {
				add(w)
			}
		}
	}
	add(columns.ExampleID)
	return m
}

// fold writes a text in lower case without accents, words apart by one space.
func fold(s string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(s)) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == 'ß':
			b.WriteString("ss")
		case r == 'ø':
			b.WriteByte('o')
		case r == 'ł':
			b.WriteByte('l')
		case r == 'æ':
			b.WriteString("ae")
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

var (
	honorific = regexp.MustCompile(`(?:^|[\s(,;:])(?:Mr|Mrs|Ms|Miss|Mx|Dr|Prof|Sir|Dame|Herr|Frau|Fräulein|Hr|Fr|Mme|Mlle|Monsieur|Madame|Señora?|Sr|Sra|Signora?|Sig|Dhr|Mevr|Pan|Pani|D\.?[ªº]|Dñ?a|Shri|Smt|MR|MRS|MS|DR)\.?(?:\s+med\.?(?:\s+dent\.?)?)?\s+(?:\p{Lu}\.\s*)*\p{Lu}[\p{L}'’-]{1,}`)
	lastFirst = regexp.MustCompile(`^\s*(?:(?:von|van|de|der|den|di|da|la|le|el|al|bin|ten|ter|zu)\s+){0,2}(\p{Lu}[\p{L}'’-]+(?:\s\p{Lu}[\p{L}'’-]+)?),\s*(\p{Lu}[\p{L}'’-]+|\p{Lu}\.)(?:\s+(?:\p{Lu}\.?|\p{Lu}[\p{L}'’-]+))?\s*$`)
	relation  = regexp.MustCompile(`(?i)\b(?:mother|father|mum|mom|dad|parent|son|daughter|sister|brother|wife|husband|guardian|called|named|patient|pt|pat|pac|name|patientin|paciente|paziente)\b\.?:?\s+(?:is\s+|of\s+|called\s+)?`)
	endOfYear = regexp.MustCompile(`^(\p{L}{3,})[._ -]?(?:19|20)\d{2}$`)
	// monthOfYear is the form of a month with its year: "Jan 2024", "Mar-25", "Juni '24".
	monthOfYear = regexp.MustCompile(`^\s*\p{L}{3,10}\.?[ ./-]{0,2}'?(?:(?:19|20)\d{2}|\d{2})\s*$`)
	particles   = wordsOf("von van de der den di da del della la le el al bin ibn ten ter zu dos do y e")
)

// name finds a person's name in a text of a place.
func name(s string, u use) bool {
	switch u {
	case heading:
		return honorific.MatchString(s) || commaName(s) || hasPair(words(s), false) || related(s) || pairOfNames(words(s)) || apart(s) || caselessOnly(s)
	case header:
		return honorific.MatchString(s) || commaName(s) || hasPair(words(s), false) || pairOfNames(words(s))
	case label:
		return honorific.MatchString(s) || commaName(s) || labelName(s) || apart(s) || caselessOnly(s)
	case person:
		return !program(s)
	case sentence:
		return honorific.MatchString(s) || hasPair(words(s), false) || related(s) || formedWithin(words(s)) || caselessOnly(s)
	case comment:
		return honorific.MatchString(s) || hasPair(words(s), false) || anyGiven(words(s)) || related(s) ||
			nameFirst(s) || formedWithin(words(s)) || len(words(s)) <= 4 && anyOf(words(s), anyName) || caseless(s)
	}
	return cellName(s, u)
}

// cellName looks at one cell of a table.
func cellName(s string, u use) bool {
	ws := words(s)
	if len(ws) == 0 {
		return false
	}
	if honorific.MatchString(s) || commaName(s) || related(s) || apart(s) {
		return true
	}
	switch u {
	case code:
		return codeName(s) || yearName(s)
	case practice:
		return practiceName(s)
	case value:
		return formed(ws) || hasPair(ws, len(ws) <= 4) || pairOfNames(ws) ||
			len(ws) == 1 && given(ws[0]) && !months[fold(ws[0])] // "Jan-3" is a tooth turned into a date
	}
	if len(ws) == 1 && months[fold(bare(ws[0]))] && (u == month || monthOfYear.MatchString(s)) {
		return false // "Jan 2021", also in a column that is not read as one of months
	}
	return formed(ws) || hasPair(ws, len(ws) <= 4) || pairOfNames(ws) || caseless(s) || anyGiven(ws)
}

func anyOf(ws []string, is func(string) bool) bool {
	for _, w := range ws {
		if is(w) {
			return true
		}
	}
	return false
}

// pairOfNames: two to four words, two of which are names of the long lists,
// whatever their case.
func pairOfNames(ws []string) bool {
	if len(ws) < 2 || len(ws) > 4 {
		return false
	}
	n := 0
	for _, w := range ws {
		f := strings.ReplaceAll(fold(bare(w)), " ", "")
		switch {
		case len([]rune(f)) >= 3 && listed(f):
			n++
		case particles[f] || initial(w):
		default:
			return false
		}
	}
	return n >= 2
}

// words splits a text into words of letters, apostrophes and hyphens; digits
// and other marks part them.
func words(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) && r != '\'' && r != '’' && r != '-' && r != '.'
	})
}

func bare(w string) string {
	w = strings.Trim(w, "'’-.")
	for _, s := range []string{"'s", "’s"} {
		w = strings.TrimSuffix(w, s)
	}
	return w
}

// given reports a common given name; of a double one ("Anna-Lena") either part.
func given(w string) bool {
	w = bare(w)
	if len(w) < 3 {
		return false
	}
	for _, part := range strings.Fields(fold(w)) {
		if givenNames[part] && !known[part] {
			return true
		}
	}
	return false
}

// anyName reports a given name or a surname of the long lists: evidence beside
// other evidence, not alone.
func anyName(w string) bool {
	f := strings.ReplaceAll(fold(bare(w)), " ", "")
	return len([]rune(f)) >= 3 && listed(f) || !known[f] && caseless(f)
}

// nameAmong finds a name of the lists among the words of a text of a few words, whatever
// its case: "ask brenka". A word that a dictionary has too, or that one of the trade is,
// is none.
func nameAmong(s string) bool {
	ws := words(s)
	return len(ws) <= freeWords && anyOf(ws, func(w string) bool {
		f := strings.ReplaceAll(fold(bare(w)), " ", "")
		n := len([]rune(f))
		return n >= 3 && !ordinary()[f] && !months[f] && !known[f] && !lexicon.AllKnown(bare(w)) &&
			(givenNames[f] || moreGiven()[f] || n >= 5 && surnames()[f]) // short surnames are words of some language
	})
}

// capitalised: one capital, then small letters ("Müller", "O'Brien", "Kay-Lee").
func capitalised(w string) bool {
	w = bare(w)
	rs := []rune(w)
	if len(rs) < 2 || !unicode.IsUpper(rs[0]) {
		return false
	}
	return strings.ContainsFunc(w, unicode.IsLower)
}

// unknown: letters, and no word of the trade; of a hyphened word all parts.
func unknown(w string) bool {
	w = bare(w)
	if len([]rune(w)) < 2 {
		return false
	}
	for _, part := range strings.Fields(fold(w)) {
		if known[part] || ordinary()[part] && !listed(part) {
			return false
		}
	}
	return true
}

func upper(w string) bool {
	w = bare(w)
	return len([]rune(w)) >= 3 && strings.ToUpper(w) == w
}

func initial(w string) bool {
	return len([]rune(bare(w))) == 1 && strings.HasSuffix(w, ".") && unicode.IsUpper([]rune(w)[0])
}

// formed: two to four words that together have the form of a name and of which
// none is a word of the trade.
func formed(ws []string) bool {
	full, dotted := 0, 0
	if len(ws) < 2 || len(ws) > 5 {
		return false
	}
	for i, w := range ws {
		switch {
		case capitalised(w) && unknown(w):
			full++
		case upper(w) && unknown(w) && len([]rune(bare(w))) >= 4:
			full++
		case initial(w):
			dotted++
		case particles[fold(w)] && i < len(ws)-1:
		default:
			return false
		}
	}
	return full >= 2 || full == 1 && dotted > 0
}

// hasPair finds a given name beside another word that is none of the trade.
// anyCase also takes names in small letters, in short texts.
func hasPair(ws []string, anyCase bool) bool {
	proper := func(w string) bool { return anyCase || capitalised(w) || upper(w) }
	for i, w := range ws {
		if !given(w) || !proper(w) {
			continue
		}
		for j := i + 1; j < len(ws) && j <= i+3; j++ {
			if proper(ws[j]) && unknown(ws[j]) || initial(ws[j]) {
				return true
			}
			if !particles[fold(ws[j])] {
				break
			}
		}
		if i > 0 && proper(ws[i-1]) && unknown(ws[i-1]) {
			return true
		}
	}
	return false
}

func anyGiven(ws []string) bool {
	for _, w := range ws {
		if given(w) && len([]rune(bare(w))) >= 3 && (capitalised(w) || upper(w) || len(ws) == 1) {
			return true
		}
	}
	return false
}

func commaName(s string) bool {
	m := lastFirst.FindStringSubmatch(s)
	if m == nil {
		return false
	}
	return unknown(m[1]) && (unknown(m[2]) || initial(m[2]))
}

// related finds "mother Brenka", "called Tolm": a word for a person before a
// capitalised word that is none of the trade.
func related(s string) bool {
	for _, at := range relation.FindAllStringIndex(s, -1) {
		next := words(s[at[1]:])
		if len(next) > 0 && strings.HasPrefix(s[at[1]:], next[0]) && capitalised(next[0]) && unknown(next[0]) {
			return true
		}
	}
	return false
}

// nameFirst finds the author that spreadsheet programs put before a comment:
// "Brenka Tolm:" on the first line.
func nameFirst(s string) bool {
	first, _, ok := strings.Cut(s, ":")
	return ok && len(first) < 40 && codeName(first)
}

// labelName looks at the words of a file, sheet or title, whatever parts them.
func labelName(s string) bool {
	ws := words(strings.NewReplacer("_", " ", ".", " ", "-", " ").Replace(s))
	return formed(ws) || formed(words(s)) || hasPair(ws, true) || pairOfNames(ws) || len(ws) <= 3 && anyGiven(ws)
}

// formedWithin finds two neighbours in a longer text that have the form of a name.
func formedWithin(ws []string) bool {
	for i := 1; i < len(ws); i++ {
		if formed(ws[i-1 : i+1]) {
			return true
		}
	}
	return false
}

// yearName: a word with a year of birth, "Brenka1987".
func yearName(s string) bool {
	m := endOfYear.FindStringSubmatch(strings.TrimSpace(s))
	return m != nil && unknown(m[1])
}

// caseless: a word of a script other than Latin, Greek and Cyrillic, none of which the
// vocabulary uses; most have no capitals by which a name could be told.
func caseless(s string) bool {
	n := 0
	for _, r := range s {
		if unicode.IsLetter(r) && !unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Common, unicode.Inherited) {
			n++
		}
	}
	return n >= 2
}

// caselessOnly: a text of such a script and nothing of another.
func caselessOnly(s string) bool {
	return caseless(s) && !strings.ContainsFunc(s, func(r rune) bool { return unicode.In(r, unicode.Latin, unicode.Cyrillic, unicode.Greek) })
}

// programs write themselves into the author's place.
var programs = wordsOf(`shortfall openpyxl xlsxwriter libreoffice openoffice gnumeric calc excelize xuri excel spreadsheet
	apache poi user users author admin administrator owner unknown anonymous default system root server office gast guest
	benutzer utilisateur usuario utente none openxlsx r python google sheets sheetjs sh33tjs numbers shortfall microsoft ingest test`)

// program: every word is the name of a program or of nobody in particular.
func program(s string) bool {
	for _, w := range strings.Fields(fold(s)) {
		if !programs[w] && !allDigits(w) {
			return false
		}
	}
	return true
}
