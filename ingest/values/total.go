package values

// totalWords stand in a row that sums up the rows above it, in the languages in
// which spreadsheet programs offer such rows (common practice, no source).
var totalWords = setOf(
	"total", "totals", "sum", "mean", "average", "median", "sd", "count", "subtotal", "grand total", "n",
	"min", "max", "minimum", "maximum", "mean sd", "mean ± sd", "overall", "all cases",
	"gesamt", "gesamtergebnis", "summe", "zwischensumme", "mittelwert", "durchschnitt", "anzahl",
	"somme", "total général", "sous total", "moyenne", "médiane", "écart type", "nombre",
	"suma", "total general", "promedio", "media", "totale", "somma", "totaal", "som", "gemiddelde",
)

func setOf(words ...string) table[bool] {
	m := table[bool]{}
	for _, w := range words {
		m[Key(w)] = true
	}
	return m
}

// IsTotal reports a word for a row of totals: such a row holds no record.
func IsTotal(s string) bool {
	_, total := totalWords.in(s)
	return total && len(s) <= 40
}
