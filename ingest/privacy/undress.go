package privacy

import (
	"cmp"
	"math/big"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// undress takes a text out of the clothes in which it would not be recognised:
// NFKC (Unicode Standard Annex 15), no format and control characters, Latin
// letters for the look-alikes of other scripts inside Latin words, and outer
// marks of quotation off.
func undress(s string) string {
	if ascii(s) {
		return strings.Trim(strings.TrimSpace(s), "'\"`")
	}
	s = norm.NFKC.String(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Cc, r), unicode.Is(unicode.Variation_Selector, r):
			return -1
		}
		return r
	}, s))
	return strings.Trim(strings.TrimSpace(alike(s)), "'\"`’‘“”„«»")
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// lookAlikes are letters of other scripts that are drawn as Latin ones: of the
// confusables of Unicode Technical Standard 39 (version 13.0), but for kappa as k and
// the small palochka as l, which it lists beside the kra and i.
var lookAlikes = strings.NewReplacer(
	"а", "a", "е", "e", "о", "o", "р", "p", "с", "c", "у", "y", "х", "x", "і", "i", "ј", "j", "ѕ", "s", "ԁ", "d", "һ", "h", "ӏ", "l", "ո", "n",
	"А", "A", "В", "B", "Е", "E", "К", "K", "М", "M", "Н", "H", "О", "O", "Р", "P", "С", "C", "Т", "T", "У", "Y", "Х", "X", "І", "I", "Ј", "J", "Ѕ", "S",
	"α", "a", "ο", "o", "ν", "v", "ρ", "p", "υ", "u", "ι", "i", "κ", "k",
	"Α", "A", "Β", "B", "Ε", "E", "Ζ", "Z", "Η", "H", "Ι", "I", "Κ", "K", "Μ", "M", "Ν", "N", "Ο", "O", "Ρ", "P", "Τ", "T", "Υ", "Y", "Χ", "X",
	"ı", "i", "ɑ", "a", "ɡ", "g",
)

// alike replaces look-alikes in words that hold Latin letters too.
func alike(s string) string {
	latin := strings.ContainsFunc(s, func(r rune) bool { return unicode.Is(unicode.Latin, r) })
	other := strings.ContainsFunc(s, func(r rune) bool {
		return unicode.In(r, unicode.Cyrillic, unicode.Greek, unicode.Armenian) || r == 'ı' || r == 'ɑ'
	})
	if !latin || !other {
		return s
	}
	words := strings.Split(s, " ")
	for i, w := range words {
		if strings.ContainsFunc(w, func(r rune) bool { return unicode.Is(unicode.Latin, r) }) {
			words[i] = lookAlikes.Replace(w)
		}
	}
	return strings.Join(words, " ")
}

// apart reports five or more single letters that stand apart, four where marks part them,
// as nobody writes a word of the trade.
func apart(s string) bool {
	fields := strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(".-_/·", r) })
	for _, f := range fields {
		if r := []rune(f); len(r) != 1 || !unicode.IsLetter(r[0]) {
			return false
		}
	}
	return len(fields) >= 5 || len(fields) == 4 && strings.ContainsAny(s, ".-_/·")
}

var numberForm = regexp.MustCompile(`^[+-]?\d+(?:[.,]\d*)?(?:[eE][+-]?\d{1,2})?$`)

// whole gives the digits of a number however it is written: without a sign, with
// decimals that are all zero, with an exponent; "" where it is no whole number.
func whole(s string) string {
	if digits, none, ok := undecorated(s); ok {
		if !none {
			return ""
		}
		return cmp.Or(strings.TrimLeft(digits, "0"), "0")
	}
	if !numberForm.MatchString(s) || len(s) > 64 {
		return ""
	}
	x, ok := new(big.Rat).SetString(strings.Replace(strings.TrimLeft(s, "+-"), ",", ".", 1))
	if !ok || !x.IsInt() {
		return ""
	}
	return x.Num().String()
}

// undecorated is the fast way for digits with an optional sign and decimals: those before
// the decimals, and whether the decimals say nothing.
func undecorated(s string) (digits string, none, ok bool) {
	from := 0
	if s != "" && (s[0] == '+' || s[0] == '-') {
		from = 1
	}
	end := from
	for end < len(s) && s[end] >= '0' && s[end] <= '9' {
		end++
	}
	if end == from || len(s) > 64 {
		return "", false, false
	}
	if end == len(s) {
		return s[from:end], true, true
	}
	if s[end] != '.' && s[end] != ',' {
		return "", false, false
	}
	none = true
	for _, c := range []byte(s[end+1:]) {
		if c < '0' || c > '9' {
			return "", false, false
		}
		none = none && c == '0'
	}
	return s[from:end], none, true
}

// wholeText is whole for a text: 12E3 can be a code, 1.2E10 is a number.
func wholeText(s string) string {
	if strings.ContainsAny(s, "eE") && !strings.ContainsAny(s, ".,") {
		return ""
	}
	return whole(s)
}

// splitNumber is digits with marks or spaces between them and nothing else.
var splitNumber = regexp.MustCompile(`^[+(]?\d(?:[\s()./,'-]{0,3}\d)+$`)

// scattered reports ten digits or more that marks part, and that are neither
// dates nor teeth nor a decimal number.
func scattered(s string) bool {
	n := digits(s)
	if n < 9 || n > 24 || !splitNumber.MatchString(s) || decimal(s) {
		return false
	}
	groups := strings.FieldsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
	if len(groups) == 1 {
		return false // digits in a row are judged elsewhere
	}
	return !datesOnly(groups) && !teethOnly(groups)
}

// datesOnly: one or two dates or months, as of a span of time.
func datesOnly(groups []string) bool {
	years := 0
	for _, g := range groups {
		switch {
		case len(g) == 4 && (g[:2] == "19" || g[:2] == "20"):
			years++
		case len(g) > 2:
			return false
		}
	}
	return years > 0 && len(groups) <= 3*years
}

// teethOnly: every group is a tooth in FDI notation (ISO 3950).
func teethOnly(groups []string) bool {
	for _, g := range groups {
		if len(g) != 2 || g[0] < '1' || g[0] > '8' || g[1] < '1' || g[1] > '8' {
			return false
		}
	}
	return true
}
