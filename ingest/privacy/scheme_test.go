package privacy

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// numbersIn makes codes of a form with numbers.
func numbersIn(form string, numbers ...int) (out []string) {
	for _, n := range numbers {
		out = append(out, fmt.Sprintf(form, n))
	}
	return out
}

// to are the numbers from one on.
func to(n int) (out []int) {
	for i := range n {
		out = append(out, i+1)
	}
	return out
}

// Codes that say of nobody who it is; what the tests hold is invented.
func TestPlainSchemes(t *testing.T) {
	for name, codes := range map[string][]string{
		"letters and numbers":     numbersIn("MQ-%03d", to(12)...),
		"numbers":                 numbersIn("%d", to(40)...),
		"numbers with zeros":      numbersIn("P-%05d", to(9)...),
		"words of the trade":      numbersIn("Fall %d", to(4)...),
		"one of them":             {"case 3"},
		"two of one letter":       {"F1", "F2"},
		"year and number":         append(numbersIn("2024-%03d", to(20)...), numbersIn("2025-%03d", to(20)...)...),
		"two sites":               append(numbersIn("MQ-%d", to(5)...), numbersIn("ZN-%d", to(7)...)...),
		"running four digits":     numbersIn("%d", 1001, 1002, 1005, 1007, 1011, 1012),
		"twenty and one of none":  append(numbersIn("MQ-%03d", to(20)...), "ZB-85"),
		"numbers above a hundred": numbersIn("C%d", 101, 345, 517, 999),
	} {
		s := SchemeOf(codes)
		assert.True(t, s.Has(codes[0]), name)
		assert.False(t, s.Has("ZB-85"), name)
	}
}

func TestNoPlainSchemes(t *testing.T) {
	for name, codes := range map[string]string{
		"initials with years":   "AK1985 BM1990 CD2004 EF1978 GH1966 IJ1999",
		"initials":              "AK BM CD EF GH IJ",
		"surnames cut short":    "SMI001 JON002 TAY003 BRO004 WIL005",
		"one pair of initials":  "AK-85",
		"two of the same":       "AK-85 AK-90",
		"a name before numbers": "Anna1 Anna2 Anna3 Anna4",
		"a name cut short":      "Kowa1 Kowa2 Kowa3 Kowa4",
		"years of birth":        "P1985 P1990 P2004 P1978",
		"months of birth":       "P-1985-03 P-1990-07 P-2004-11",
		"day and month":         "1203 0407 3011 1502 0909 0112 2305 1808 0101 0606",
		"postal codes":          "4020 1010 8001 5400 6900",
		"chart numbers":         "10423 10424 10877 11002",
		"no numbers":            "MQ MQ MQ",
		"random":                "7QX2MB 1ZK9TT 4HB2XW 8MM3QL",
		"four sites":            "A1B B1B C1B D1B",
		"signs of a script":     "王1 王2 王3",
	} {
		all := strings.Fields(codes)
		s := SchemeOf(all)
		for _, c := range all {
			assert.False(t, s.Has(c), name)
		}
	}
	var sites, days []string
	for _, site := range []string{"AB", "CD", "EF", "GH"} {
		sites = append(sites, numbersIn(site+"-%d", to(5)...)...)
	}
	assert.False(t, SchemeOf(sites).Has("AB-1"), "more sites than a practice has")
	for i := range 48 {
		days = append(days, fmt.Sprintf("%02d%02d", 1+i/6, 1+i%6))
	}
	assert.False(t, SchemeOf(days).Has(days[0]), "days and months that stand close")
	assert.False(t, SchemeOf(numbersIn("%d", 10423, 10424, 10425, 10426)).Has("10423"), "numbers of a register in a row")
	many := numbersIn("SMI%03d", to(6)...)
	for i := range 40 { // the commonest of surnames are no sites
		many = append(many, fmt.Sprintf("%c%c%c%03d", 'A'+i%7, 'B'+i%11, 'C'+i%13, 7+i))
	}
	assert.False(t, SchemeOf(many).Has("SMI001"))
}

func TestInitials(t *testing.T) {
	for code, want := range map[string]bool{"K1": false, "Dr A": false, "A": false, "Partner 2": false, "ML": true, "M.L.": true, "A.K.": true, "OP": true, "BH01": true, "Li": true} {
		assert.Equal(t, want, Initials(code), code)
	}
}
