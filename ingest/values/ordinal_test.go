package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Numbers of order in words and figures, in the languages of the lexicon.
func TestOrdinal(t *testing.T) {
	for n, words := range map[int][]string{
		1: {"first", "1st", "Erste", "erster", "première", "premier", "1er", "1re", "primera", "primo", "eerste", "1ste", "primeiro", "pierwsza", "første", "första", "1.", "1º", "1ª"},
		2: {"second", "2nd", "zweites", "deuxième", "seconde", "2ème", "2e", "segunda", "secondo", "tweede", "2de", "druga", "drugie", "anden", "andra", "2."},
		3: {"third", "3rd", "dritte", "troisième", "tercer", "tercera", "terza", "derde", "terceiro", "trzecia", "tredje"},
		4: {"fourth", "vierter", "quatrième", "cuarta", "quarto", "vierde", "czwarte", "fjärde", "fjerde"},
		5: {"fifth", "fünfte", "cinquième", "quinta", "vijfde", "piąta", "femte"},
		6: {"sixth", "sechste", "sixième", "sexto", "sesta", "zesde", "szósta", "sjätte", "sjette"},
	} {
		for _, w := range words {
			got, ok := Ordinal(w)
			assert.True(t, ok && got == n, "%s: %d %v", w, got, ok)
		}
	}
	for _, w := range []string{"", "2", "other", "andere", "drugs", "e", "2 mm", "2mm", "10°", "primary", "secondary", "0.", "2nd plan", "12a"} {
		_, ok := Ordinal(w)
		assert.False(t, ok, w)
	}
	for text, n := range map[string]int{
		"tweede verfijning": 3, "second refinement": 3, "2nd refinement": 3, "deuxième raffinement": 3, "troisième finition": 4, "dritte Korrektur": 4, "terza rifinitura": 4,
		"tercer refinamiento": 4, "third course": 3, "pierwsza korekta": 2, "derde verfijning": 4,
	} {
		got, err := ParseCourse(text)
		assert.NoError(t, err, text)
		assert.Equal(t, n, got, text)
	}
}
