package ingest

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

// What U, O and B mean in a tooth, a quadrant or a column of jaws is told by the other letters
// of the file, or by its language, and else asked: oben is upper, onder lower.
func TestLettersOfJaws(t *testing.T) {
	const rest = ";extrusion;1.2;0.8;none"
	sheet := func(head string, rows ...string) string {
		lines := []string{"case;course;" + head + ";movement;planned;achieved;attachment"}
		for _, r := range rows {
			lines = append(lines, "K1;1;"+r+rest)
		}
		return strings.ReplaceAll(strings.Join(lines, "\n"), ";", ",") + "\n"
	}
	dutch := func(text string) string {
		return strings.NewReplacer("planned", "gepland", "achieved", "bereikt", "tooth", "element").Replace(text)
	}
	for name, c := range map[string]struct {
		text string
		want []int
	}{
		"German quadrants":        {sheet("tooth", "OR3", "UL4"), []int{13, 34}},
		"German, the other way":   {sheet("tooth", "RO 3", "LU 4", "LO 5"), []int{13, 25, 34}},
		"Dutch quadrants":         {sheet("tooth", "BR3", "OL4"), []int{13, 34}},
		"Dutch, the other way":    {sheet("tooth", "RB 3", "LO 4"), []int{13, 34}},
		"English quadrants":       {sheet("tooth", "UR3", "LL4"), []int{13, 34}},
		"French quadrants":        {sheet("tooth", "HD3", "BG4"), []int{13, 34}},
		"a column of quadrants":   {sheet("quadrant;tooth", "OR;3", "UL;4"), []int{13, 34}},
		"a Dutch one":             {sheet("quadrant;tooth", "BR;3", "OL;4"), []int{13, 34}},
		"German jaws":             {sheet("arch;side;tooth", "O;R;3", "U;L;4"), []int{13, 34}},
		"Dutch jaws":              {sheet("arch;side;tooth", "B;R;3", "O;L;4"), []int{13, 34}},
		"Swedish jaws":            {sheet("arch;side;tooth", "Ö;R;3", "U;L;4"), []int{13, 34}},
		"French jaws":             {sheet("arch;side;tooth", "H;R;3", "B;L;4"), []int{13, 34}},
		"English jaws":            {sheet("arch;side;tooth", "U;R;3", "L;L;4"), []int{13, 34}},
		"Dutch headers":           {dutch(sheet("tooth", "RO 3", "LO 4")), []int{34, 43}},
		"with the notation given": {sheet("tooth", "OR3", "UL4"), []int{13, 34}},
	} {
		o := Options{}
		if strings.HasPrefix(name, "with") {
			o.Notation = 3
		}
		b, err := read(t, c.text, o)
		require.NoError(t, err, name)
		var got []int
		for _, m := range recordsOf(b).Movements {
			got = append(got, int(m.Tooth))
		}
		assert.Equal(t, c.want, got, name)
	}
	mustAsk(t, sheet("tooth", "RO 3", "LO 4"), "quadrant letters O")
	mustAsk(t, sheet("arch;side;tooth", "B;R;3", "B;L;4"), "quadrant letters B")
	mustAsk(t, sheet("tooth", "UR3", "OL4", "LL5"), "quadrant letters", "quadrant letters O")
	mustAsk(t, strings.NewReplacer("tooth", "tand", "movement", "rörelse").Replace(sheet("arch;side;tooth", "U;R;3", "U;L;4")), "quadrant letters")
	got := answered(t, sheet("tooth", "RO 3", "LO 4"), "quadrant letters O=upper")
	assert.Equal(t, 13, int(got[0].Tooth))
}

// listOf is a list of extrusions of some teeth, with the columns that tell them.
func listOf(head string, rows ...string) string {
	lines := []string{"case,course," + head + ",movement,planned,achieved,attachment"}
	for _, r := range rows {
		lines = append(lines, "K1,1,"+r+",extrusion,1.2,0.8,none")
	}
	return strings.Join(lines, "\n") + "\n"
}

// What SD, SI, II and their like mean is told by all that a file writes, and else asked: SI is
// superior izquierdo or sinistro inferiore, and II inferior izquierdo or a Roman number.
func TestLettersOfQuadrants(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []int
	}{
		"Spanish":             {listOf("quadrant,tooth", "SD,3", "SI,3", "II,3", "ID,3"), []int{13, 23, 33, 43}},
		"Spanish, left alone": {listOf("quadrant,tooth", "SI,3", "II,4"), []int{23, 34}},
		"Italian":             {listOf("quadrant,tooth", "SD,3", "SS,3", "IS,3"), []int{13, 23, 33}},
		"side first":          {listOf("quadrant,tooth", "DS,3", "SS,3", "SI,3", "DI,3"), []int{13, 23, 33, 43}},
		"Portuguese":          {listOf("tooth", "SE3", "IE 4", "ID-5"), []int{23, 34, 45}},
		"French":              {listOf("tooth", "3 SD", "4 SG", "IG5"), []int{13, 24, 35}},
		"Roman":               {listOf("quadrant,tooth", "I,3", "II,3", "III,3", "IV,3"), []int{13, 23, 33, 43}},
		"Roman in one":        {listOf("tooth", "I 3", "II 3", "III 3"), []int{13, 23, 33}},
		"beside lettered":     {listOf("quadrant,tooth", "SD,3", "II,3"), []int{13, 33}},
		"named":               {listOf("tooth", "upper right first molar", "canine lower left"), []int{16, 33}},
		"named beside jaw":    {listOf("jaw,side,tooth", "upper,left,first molar", "lower,R,canine"), []int{26, 43}},
		"named beside side":   {listOf("side,tooth", "left,upper first molar", "right,lower canine"), []int{26, 43}},
		"named in quadrant":   {listOf("quadrant,tooth", "2,first molar", "4,3"), []int{26, 43}},
		"named and numbered":  {listOf("tooth", "upper left canine", "16"), []int{16, 23}},
	} {
		o := Options{}
		if name == "named and numbered" {
			o.Notation = 1
		}
		b, err := read(t, c.text, o)
		require.NoError(t, err, name)
		var got []int
		for _, m := range recordsOf(b).Movements {
			got = append(got, int(m.Tooth))
		}
		assert.Equal(t, c.want, got, name)
	}
	mustAsk(t, listOf("quadrant,tooth", "II,3", "II,4"), "quadrants")
	mustAsk(t, listOf("tooth", "SI3", "SI4"), "quadrants")
	for answer, want := range map[string]int{"jaw first": 23, "side first": 33} {
		assert.Equal(t, want, int(answered(t, listOf("tooth", "SI3"), "quadrants="+answer)[0].Tooth))
	}
	assert.Equal(t, 23, int(answered(t, listOf("quadrant,tooth", "II,3"), "quadrants=numbers")[0].Tooth))
}

// What names no tooth is refused with its cell and what to do.
func TestTeethThatAreNotNamed(t *testing.T) {
	for name, c := range map[string]struct{ text, cell, says, remedy string }{
		"letters of both orders": {listOf("tooth", "SD3", "DS4"), "C2", "no permanent tooth", "notation"},
		"a quadrant of no kind":  {listOf("quadrant,tooth", "up,3"), "C2", "the quadrant of the tooth cannot be read", "UR, UL, LL or LR"},
		"no quadrant":            {listOf("quadrant,tooth", ",3", "1,3"), "D2", "the quadrant beside the tooth is blank", "UR, UL, LL or LR"},
		"a side of no kind":      {listOf("jaw,side,tooth", "upper,both,3"), "D2", "the side of the tooth cannot be read", "UR, UL, LL or LR"},
		"a name in part":         {listOf("tooth", "upper canine"), "C2", "does not say its side", "in full"},
		"which molar":            {listOf("quadrant,tooth", "UR,molar"), "D2", "which molar", "in full"},
		"a name of another jaw":  {listOf("jaw,tooth", "lower,upper left canine"), "D2", "not in the quadrant", ""},
		"the other side":         {listOf("quadrant,tooth", "UR,left canine"), "D2", "not in the quadrant", ""},
	} {
		b, err := read(t, c.text, Options{})
		found := Problems(err)
		if err == nil {
			require.NotEmpty(t, b.Rejected, name)
			found = b.Rejected[0].Reasons
		}
		at := slices.IndexFunc(found, func(p casebook.Problem) bool { return p.Severity == casebook.Error })
		require.GreaterOrEqual(t, at, 0, name)
		p := found[at]
		assert.Equal(t, "tooth-unknown "+c.cell, p.Rule+" "+p.Cell, name)
		assert.Contains(t, p.Message, c.says, name)
		assert.Contains(t, p.Remedy, c.remedy, name)
	}
}
