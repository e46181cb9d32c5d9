package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
