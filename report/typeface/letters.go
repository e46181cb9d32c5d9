package typeface

import "strings"

// alphabet of notes: Unicode has no raised q.
const alphabet = "abcdefghijklmnoprstuvwxyz"

// Letter of the i-th note: a, b, ... z, aa, ...
func Letter(i int) string {
	if i >= len(alphabet) {
		return Letter(i/len(alphabet)-1) + Letter(i%len(alphabet))
	}
	return alphabet[i : i+1]
}

var superiors = strings.NewReplacer("a", "ᵃ", "b", "ᵇ", "c", "ᶜ", "d", "ᵈ", "e", "ᵉ", "f", "ᶠ", "g", "ᵍ", "h", "ʰ", "i", "ⁱ", "j", "ʲ", "k", "ᵏ", "l", "ˡ", "m", "ᵐ",
	"n", "ⁿ", "o", "ᵒ", "p", "ᵖ", "r", "ʳ", "s", "ˢ", "t", "ᵗ", "u", "ᵘ", "v", "ᵛ", "w", "ʷ", "x", "ˣ", "y", "ʸ", "z", "ᶻ")

// Superior is the letter of the i-th note raised above the line.
func Superior(i int) string { return superiors.Replace(Letter(i)) }
