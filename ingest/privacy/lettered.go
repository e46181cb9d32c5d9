package privacy

import (
	"regexp"
	"strings"
	"unicode"
)

// letteredForm is letters, also several groups of them, and then perhaps a short number or a
// month: "AK-85", "SMI001", "KOW-ANN-85", "A.K.", "AK03/85". Letters and digits in turn, as a
// program draws them, are no such form.
var letteredForm = regexp.MustCompile(`^\p{L}[\p{L} .,_/'-]*[\d/.-]{0,7}\p{L}?$`)

// Lettered counts, among the different codes of a file, those whose letters could be initials
// or parts of names: they differ from case to case, or from the letters of all others.
func Lettered(all []string) int {
	scheme := SchemeOf(all)
	n, letters := 0, map[string]bool{}
	for _, c := range all {
		if OwnCode(c) || scheme.Has(c) || !letteredForm.MatchString(c) || !Initials(c) {
			continue
		}
		n++
		letters[strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) {
				return unicode.ToLower(r)
			}
			return -1
		}, c)] = true
	}
	if len(scheme) == 0 && (2*n < len(all) || len(letters) < 3 || 2*len(letters) < n) {
		return 0
	}
	return n
}
