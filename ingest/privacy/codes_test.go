package privacy

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
)

// What may stand in a column of practices: places and things, but no person.
func TestNamesAmongPractices(t *testing.T) {
	for text, want := range map[string]rules.ID{
		"A. Brenka": rules.IdentifierName, "Brenka T.": rules.IdentifierName, "Brenka Tolmov": rules.IdentifierName, "brenka tolmov": rules.IdentifierName,
		"Hosp. no. 133185": rules.IdentifierNumber, "dossier n° 428287": rules.IdentifierNumber, "P<ESTTOLMOV<<BRENKA<<<<": rules.IdentifierNumber,
		"Zdenka": rules.IdentifierName, "Ortho-Lindqvist": rules.IdentifierName, "KFO-Huber": rules.IdentifierName, "Huber": rules.IdentifierName,
		"Ward B": "", "House A": "", "Riverside": "", "Old Mill dental practice": "", "Praxis Süd": "", "Site 2": "", "P-01": "", "Q. A": "",
	} {
		assert.Equal(t, want, CellRule(Cell{Text: text}, columns.Practice, false), text)
	}
}

func TestNamesAmongCodes(t *testing.T) {
	for text, want := range map[string]rules.ID{
		"B.R.E.N.K.A": rules.IdentifierName, "T-O-L-M": rules.IdentifierName, "born the third of May, 1994": rules.IdentifierDate,
		"Bo Ek": rules.IdentifierName, "Jo Ng": rules.IdentifierName, "Ek, Bo": rules.IdentifierName, "BO EK": "", "Bo 12": "", "No Dr": "",
		"one that came with her mother": rules.IdentifierName, "A-B-C": "", "C-0123": "", "K.2": "", "U/L-12": "",
	} {
		assert.Equal(t, want, CellRule(Cell{Text: text}, columns.Case, false), text)
	}
}

// Initials with a date of birth are told from a prefix with numbers of order by
// the whole column.
func TestInitialsWithDatesOfBirth(t *testing.T) {
	for name, c := range map[string]struct {
		codes []string
		want  int
	}{
		"one among other codes":       {[]string{"KB-040873"}, 1},
		"digits first, years of four": {[]string{"04081973TB"}, 1},
		"year first":                  {[]string{"KB 730804"}, 1},
		"several":                     {[]string{"KB-040873", "TM-120691", "RS-310101"}, 3},
		"numbers of order":            {[]string{"AL-010101", "AL-010102", "AL-010103"}, 0},
		"no day or month":             {[]string{"KB-480873"}, 0},
		"one of them is no date":      {[]string{"KB-040873", "TM-129991", "RS-310101"}, 0},
	} {
		in := clean()
		for i, code := range c.codes {
			in = with(in, Cell{Row: 5 + i, Col: 1, Text: code})
		}
		found := 0
		for _, p := range Screen(in) {
			assert.Equal(t, string(rules.IdentifierDate), p.Rule, name)
			found++
		}
		assert.Equal(t, c.want, found, name)
	}
}

// Texts of words that cannot name anybody.
func TestWordsOfNobody(t *testing.T) {
	for text, want := range map[string]bool{
		"movements": true, "Cases 2025": true, "R2": true, "upper arch": true, "May": true, "house": true,
		"Tolmov": false, "Kalniņa": false, "ተስፋዬ": false, "dossier 945893": false,
	} {
		assert.Equal(t, want, Word(text), text)
	}
}

// A month with its year is no person called Jan or April, in whatever column.
func TestMonthsOfYearsAreNoNames(t *testing.T) {
	for _, s := range []string{"Jan 2024", "jan. 25", "April 2025", "Mai-2025", "May '24", "Juni 2025"} {
		for _, u := range []use{month, value, loose} {
			assert.False(t, cellName(s, u), s)
		}
	}
	for _, s := range []string{"Jan", "Jan Novak 2025", "Jan 2024 Novak"} {
		assert.True(t, cellName(s, loose), s)
	}
}

// A code that looks like a name is refused with the forms of a code that does not.
func TestRemedyOfCodes(t *testing.T) {
	found := Screen(with(clean(), Cell{Row: 5, Col: 1, Text: "Ab Cd"}))
	if assert.Len(t, found, 1) {
		assert.Contains(t, found[0].Remedy, "such as AC or C1")
		assert.NotContains(t, found[0].Error(), "Ab Cd")
	}
	for _, as := range []string{"AC", "C1"} {
		assert.Empty(t, Screen(with(clean(), Cell{Row: 5, Col: 1, Text: as})), as)
	}
}

// Words of a practice's own that hold a name are found in the columns where they are kept.
func TestNamesAmongOwnWords(t *testing.T) {
	for text, want := range map[string]rules.ID{
		"ask zdenka": rules.IdentifierName, "mother ewa": rules.IdentifierName, "LINDQVIST": rules.IdentifierName, "good lindqvist": rules.IdentifierName,
		"teen": "", "good": "", "poor mother": "", "nights only": "", "as instructed": "", "mäßig": "", "abgeschlossen": "", "zakończone": "", "30-44": "", "under 12": "",
		"moved to another town": "", "18-20 h": "", "switched to fixed": "", "terminé": "",
	} {
		for _, f := range []columns.Field{columns.AgeBand, columns.Wear, columns.Status} {
			assert.Equal(t, want, CellRule(Cell{Text: text}, f, false), "%s %v", text, f)
		}
	}
	assert.Empty(t, CellRule(Cell{Text: "ask zdenka"}, columns.Shape, false), "its words are of the vocabulary alone")
}
