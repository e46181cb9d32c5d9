package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAges(t *testing.T) {
	for text, want := range map[string]int{
		"48": 48, "48.0": 48, " 7 ": 7, "48 J.": 48, "48 J": 48, "48 Jahre": 48, "48 years": 48, "48 yrs": 48, "48y": 48, "15;4": 15, "15; 11": 15, "15 J. 4 M.": 15,
		"15 Jahre und 4 Monate": 15, "12y 3m": 12, "33 ans": 33, "33 años": 33, "33 anni": 33, "33 jaar": 33, "33 lat": 33, "33 år": 33, "14 ans 2 mois": 14, "21 years old": 21,
	} {
		n, err := ParseAge(text)
		assert.NoError(t, err, text)
		assert.Equal(t, want, n, text)
	}
	for _, text := range []string{"", "15;12", "3", "111", "15/4", "15-4", "15,4", "15.4", "adult", "15 to 18", "15;4;1", "48 mm", "J. 48"} {
		_, err := ParseAge(text)
		assert.Error(t, err, text)
	}
}
