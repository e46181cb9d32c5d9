package values

import (
	"math/big"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// CodeChange names what Code changed, for the note about it.
type CodeChange string

// The changes of Code.
const (
	CodeSpaces     CodeChange = "spaces"
	CodeInvisible  CodeChange = "invisible characters"
	CodeCharacters CodeChange = "characters of another form"
	CodeNumber     CodeChange = "the form of a number"
)

var (
	wholeDecimal = regexp.MustCompile(`^[0-9]+[.,]0+$`)
	// scientific is how a spreadsheet writes a long number; only a cell that
	// holds a number may be read so, since 12E3 can be a code.
	scientific = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?[eE]\+?[0-9]{1,2}$`)
)

// Code brings a pseudonym or code to the one form in which codes are compared:
// NFKC (Unicode Standard Annex 15), without format and control characters (zero
// width, byte order, direction), outer spaces off and inner runs joined to one,
// and a whole number without its decimals (12.0 is 12). number says that the
// cell holds a number. Upper and lower case stay as they are. Reading and
// pseudonymising both compare by it, so that one patient stays one.
func Code(text string, number bool) (string, []CodeChange) {
	if tidyCode(text, number) {
		return text, nil
	}
	return anyCode(text, number)
}

// TypedCode is the form of a code that a person typed, or that was read before: no cell
// of numbers.
func TypedCode(text string) string {
	code, _ := Code(text, false)
	return code
}

func anyCode(text string, number bool) (string, []CodeChange) {
	var changes []CodeChange
	step := func(c CodeChange, s string) {
		if s != text {
			text, changes = s, append(changes, c)
		}
	}
	step(CodeInvisible, strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Cc, r) && !unicode.IsSpace(r) || unicode.Is(unicode.Variation_Selector, r) {
			return -1
		}
		return r
	}, text))
	step(CodeSpaces, strings.Join(strings.Fields(text), " "))
	step(CodeCharacters, strings.Join(strings.Fields(norm.NFKC.String(text)), " "))
	switch {
	case wholeDecimal.MatchString(text):
		step(CodeNumber, text[:strings.IndexAny(text, ".,")])
	case number && scientific.MatchString(text):
		if x, ok := new(big.Rat).SetString(text); ok && x.IsInt() {
			step(CodeNumber, x.Num().String())
		}
	}
	return text, slices.Compact(changes)
}

// tidyCode reports a code that has the one form already: signs of ASCII without spaces,
// which no step of Code changes.
func tidyCode(text string, number bool) bool {
	for i := range len(text) {
		switch c := text[i]; {
		case c <= ' ', c > '~', c == '.', c == ',', number && (c == 'e' || c == 'E'):
			return false
		}
	}
	return true
}

// Letters are the letters and digits of a code, small: "M.H." and "mh" have the same ones.
func Letters(code string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, code)
}

// Skeleton is what is left of a code without signs, spaces, capital letters and leading
// zeros: its runs of letters and of digits. "#001", "001" and "1" have one skeleton, as
// "P-01" and "p1" do; "A-1-12" and "A-11-2" have two. "" where nothing is left.
func Skeleton(code string) string {
	var out strings.Builder
	last := ' ' // of a run: 'd' for digits, 'a' for letters
	digits := ""
	end := func() {
		if last == 'd' {
			out.WriteString(" " + strings.TrimLeft(digits[:len(digits)-1], "0") + digits[len(digits)-1:])
		}
		digits = ""
	}
	for _, c := range code {
		switch {
		case c >= '0' && c <= '9':
			if last != 'd' {
				end()
			}
			last, digits = 'd', digits+string(c)
		case unicode.IsLetter(c) || unicode.IsDigit(c):
			if last != 'a' {
				end()
				out.WriteByte(' ')
			}
			last = 'a'
			out.WriteRune(unicode.ToLower(c))
		default:
			end()
			last = ' '
		}
	}
	end()
	return out.String()
}
