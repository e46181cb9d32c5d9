package privacy

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
)

// A whole date in a code is found however it is written: any order, marks or none, letters
// around it, months in the languages of the headers. All are invented.
func TestDatesInCodes(t *testing.T) {
	for code := range strings.SplitSeq(`12Mar85|P12Mar1985|AK12Mar85|1985Mar12|85Mar12|9.Sep.66|4Jul90|P-15Feb78|A-1Jan88|30nov04|12Mär85|01dez99|18ago73|`+
		`9wrz66|6cze95|1gen88|4Juil90|3sie71|23maj01|5mrt88|30. paź 04|18Aug1973x|01DEC99|06Jun95B|3rd Mar 85|Mar 12 1985|Sep-9-66|DEC_01_1999|`+
		`CD_30_11_04|GH 9 9 66|AK/12/3/85|BM-4-7-90|EF:15:2:78|MN-73-08-18|OP-88.1.1|30_11_04|12 03 85`, "|") {
		assert.Equal(t, rules.IdentifierDate, CellRule(Cell{Text: code}, columns.Case, false), code)
		assert.Equal(t, rules.IdentifierDate, CellRule(Cell{Text: code}, columns.Clinician, false), code)
	}
	for code := range strings.SplitSeq(`MQ-24-3-017|MQ-24-03-017|MQ-2024-11-0017|MQ_24_03_017|MQ 24-017|MAR-24-03|SEP-01-02|SET12-03|MAR-012|MAI85|Lis-12|OUT 24 17|2024-017|2024-03|Case 12_03_14|`+
		`Case 12-03-14|A-1-03|12Mar-017|P-40May123|N°12|T12-U|12MAR123|MQ-24-45-12`, "|") {
		assert.Empty(t, CellRule(Cell{Text: code}, columns.Case, false), code)
	}
	for code := range strings.SplitSeq(`MQ-55-03-017|MQ-24-13-017|MQ-24-03-01712|24-03-0171`, "|") { // no site, year, month and number
		assert.Equal(t, rules.IdentifierContact, CellRule(Cell{Text: code}, columns.Case, false), code)
	}
}

// Initials at a date with marks are told by the whole column, as those at six digits are.
func TestInitialsAtDatesWithMarks(t *testing.T) {
	for name, c := range map[string]struct {
		codes []string
		want  int
	}{
		"several":               {[]string{"IJ01.12.99", "MN73-08-18", "OP88.01.01", "QR6-6-95", "1.12.99XY"}, 5},
		"one in several rows":   {[]string{"ZB120385", "ZB120385", "ZB120385", "MQ-001", "MQ-002"}, 3},
		"one with marks":        {[]string{"QR6-6-95", "QR6-6-95", "QR6-6-95"}, 3},
		"a site, year and case": {[]string{"MQ24-03-01", "MQ24-03-02", "MQ24-03-03", "MQ24-03-04"}, 0},
		"one of them is none":   {[]string{"IJ01.12.99", "MN73-08-18", "OP88.40.40"}, 0},
		"words of the trade":    {[]string{"Case1-12-03", "Fall1-12-04"}, 0},
	} {
		in := clean()
		for i, code := range c.codes {
			in = with(in, Cell{Row: 5 + i, Col: 1, Text: code})
		}
		found := Screen(in)
		assert.Len(t, found, c.want, name)
		for _, p := range found {
			assert.Equal(t, string(rules.IdentifierDate), p.Rule, name)
		}
	}
}
