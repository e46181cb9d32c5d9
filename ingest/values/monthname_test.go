package values

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// Months in words (CLDR and common practice, from memory) are read in the languages of the
// lexicon; no word is the name of two, and a year of two digits or a word beside them is refused.
func TestMonthsInWords(t *testing.T) {
	for text, want := range map[string]casebook.Month{
		"marzo 2024": casebook.NewMonth(2024, 3), "15 de marzo de 2024": casebook.NewMonth(2024, 3), "März 2025": casebook.NewMonth(2025, 3), "1. Maerz 2025": casebook.NewMonth(2025, 3),
		"févr. 2025": casebook.NewMonth(2025, 2), "août 2024": casebook.NewMonth(2024, 8), "ott 2024": casebook.NewMonth(2024, 10), "out/2024": casebook.NewMonth(2024, 10),
		"mrt 2025": casebook.NewMonth(2025, 3), "15 października 2024": casebook.NewMonth(2024, 10), "maj 2025": casebook.NewMonth(2025, 5), "Dez-2024": casebook.NewMonth(2024, 12),
		"1º de maio de 2025": casebook.NewMonth(2025, 5), "listopad 2024": casebook.NewMonth(2024, 11), "3rd March 2025": casebook.NewMonth(2025, 3), "Mar 2025": casebook.NewMonth(2025, 3),
	} {
		got, err := ParseMonth(text, Undeclared)
		assert.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"marzo 24", "marzo abril 2024", "marzo", "de 2024", "spring 2024", "32 mai 2024", "mai pas 2024"} {
		_, err := ParseMonth(text, Undeclared)
		assert.Error(t, err, text)
	}
	n := 0
	for _, names := range months {
		n += len(strings.Fields(names))
	}
	assert.Len(t, monthNames, n, "one month a name")
}
