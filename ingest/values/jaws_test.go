package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Letters of jaws are written in English as the file means them, wherever they stand.
func TestJaws(t *testing.T) {
	german, dutch := Jaws{'O': 'U', 'U': 'L'}, Jaws{'B': 'U', 'O': 'L'}
	for _, c := range []struct {
		of    Jaws
		alone bool
		text  string
		want  string
	}{
		{german, false, "OL3", "UL3"},
		{german, false, "UL 3", "LL3"},
		{german, false, "3 ur", "LR3"},
		{german, false, "RO 4", "UR4"},
		{german, false, "LU-5", "LL5"},
		{german, false, "O", "O"},
		{german, true, "o", "U"},
		{german, true, "U", "L"},
		{german, false, "13", "13"},
		{german, false, "OR", "UR"},
		{dutch, false, "BR1", "UR1"},
		{dutch, false, "ol 2", "LL2"},
		{dutch, true, "B", "U"},
		{dutch, true, "O", "L"},
		{dutch, false, "LB8", "UL8"},
		{nil, true, "U", "U"},
		{nil, false, "UL3", "UL3"},
		{dutch, false, "UL3", "UL3"},
		{german, false, "rechts oben 3", "rechts oben 3"},
	} {
		assert.Equal(t, c.want, c.of.English(c.text, c.alone), c.text)
	}
	for text, want := range map[string]byte{"LL3": 'L', "LR": 'L', "UR": 'U', "HD3": 'H', "BG": 'B', "LO": 'O', "RL": 0, "13": 0, "": 0, "Q1": 0, "oral": 0} {
		assert.Equal(t, want, JawLetter(text, false), text)
	}
}
