package privacy

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// A code is kept, so what stands in a column of codes must have the form of
// one: digits, a few letters, words for a role or a number of order. A column's
// meaning decides what else it may hold: a practice may be called after a street
// or a flower, a case may not be called after anything.

// codeName finds a name where the code of a case or a clinician belongs.
func codeName(s string) bool {
	if ownForm.MatchString(s) {
		return false
	}
	if apart(s) || caseless(s) || wordy(s) || shortNames(s) {
		return true
	}
	for _, run := range letterRuns(s) {
		f := strings.ReplaceAll(fold(run), " ", "")
		n := len([]rune(f))
		switch {
		case n < 3 || known[f] || months[f]:
		case n == 3:
			if givenNames[f] && !allUpper(run) {
				return true
			}
		case listed(f):
			return true
		case spoken(f, capitalised(run)):
			return true
		}
	}
	return false
}

// twoShort are two or three words of two or three letters, each written as a name is: "Bo
// Ek". Codes of so few letters are written in capitals, or with a number.
var twoShort = regexp.MustCompile(`^\p{Lu}\p{Ll}{1,2}(?:[ ,-]+\p{Lu}\p{Ll}{1,2}){1,2}$`)

// shortNames reports such words, unless one is of the trade.
func shortNames(s string) bool {
	return twoShort.MatchString(s) && !slices.ContainsFunc(letterRuns(s), func(run string) bool { return known[fold(run)] })
}

// ownForm is that of the pseudonyms of an anonymised copy, whose letters are
// drawn and may make a surname without vowels by chance.
var ownForm = regexp.MustCompile(`^[PCS](?:-[BCDFGHJKLMNPQRSTVWXZ]{4}){3}$`)

// practiceName finds a person's name where the name of a practice may stand: a
// surname alone, or a given name beside another name.
func practiceName(s string) bool {
	if ownForm.MatchString(s) {
		return false
	}
	if apart(s) || caseless(s) || withInitial(s) {
		return true
	}
	runs := letterRuns(s)
	names, last, first, others := 0, false, false, 0
	for _, run := range runs {
		f := strings.ReplaceAll(fold(run), " ", "")
		if len([]rune(f)) < 3 || known[f] || ordinary()[f] {
			continue
		}
		others++
		if givenNames[f] || moreGiven()[f] {
			names++
			first = len([]rune(f)) >= 5 // a shorter one can be a flower
		}
		if surnames()[f] {
			last = true
			if !givenNames[f] && !moreGiven()[f] {
				names++
			}
		}
	}
	// "Shlomo Rabinovich", and where no list has either: two words of which neither is one.
	return names >= 2 || (last || first) && len(runs) == 1 || last && others == 1 && !strings.Contains(s, " ") || others == 2 && len(runs) == 2
}

// withInitial: a word of its own beside a single letter, "A. Brenka", "Brenka T.";
// a word of the trade or of a dictionary may stand there, "Ward B", "House A".
func withInitial(s string) bool {
	var word string
	letters := 0
	for _, w := range strings.Fields(s) {
		switch b := bare(w); {
		case len([]rune(b)) == 1 && unicode.IsUpper([]rune(b)[0]):
			letters++
		case word == "" && capitalised(w):
			word = strings.ReplaceAll(fold(b), " ", "")
		default:
			return false
		}
	}
	return letters > 0 && len([]rune(word)) >= 3 && !known[word] && !ordinary()[word]
}

// wordy: five words or more of two letters or more, which no code has.
func wordy(s string) bool {
	n := 0
	for _, w := range words(s) {
		if len([]rune(bare(w))) >= 2 {
			n++
		}
	}
	return n >= 5
}

// letterRuns are the runs of letters of a text; an apostrophe or a hyphen inside
// a word parts it, and the parts are judged together too.
func letterRuns(s string) []string {
	parts := strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) })
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' && r != '’' }) {
		if strings.ContainsAny(w, "'’") {
			parts = append(parts, strings.NewReplacer("'", "", "’", "").Replace(w))
		}
	}
	// "AnnaMüller": a small letter before a capital parts words too.
	for _, w := range parts {
		for i, r := range w {
			if i > 0 && unicode.IsUpper(r) && !allUpper(w) {
				parts = append(parts, w[:i], w[i:])
			}
		}
	}
	return parts
}

func allUpper(s string) bool { return strings.ToUpper(s) == s }

// spoken: four letters or more that could be spoken and are no ordinary word: with
// a vowel for every three letters, or any in a word that begins with a capital.
// Letters drawn for a code seldom can.
func spoken(f string, capital bool) bool {
	if ordinary()[f] {
		return false
	}
	n, vowels := 0, 0
	for _, r := range f {
		n++
		if strings.ContainsRune("aeiouyäöüåæøœ", r) || r > unicode.MaxLatin1 {
			vowels++
		}
	}
	return n >= 4 && (3*vowels >= n || capital && vowels > 0)
}
