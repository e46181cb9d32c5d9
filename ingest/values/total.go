package values

import (
	"strings"
	"unicode"
)

// totalWords stand in a row that sums up the rows above it, in the languages in
// which spreadsheet programs offer such rows (common practice, no source).
var totalWords = setOf(append([]string{
	"sd", "count", "n", "min", "max", "minimum", "maximum", "mean sd", "mean ± sd", "overall", "all cases",
	"anzahl", "médiane", "écart type", "nombre", "media", "média", "mediana", "recuento", "conteggio", "contagem",
	"som", "aantal", "antal", "antall", "i alt", "medel", "median", "liczba", "ogółem",
}, firmTotals...)...)

// firmTotals are those of them that hardly begin a code: "Summa K1" is the sum of a case.
var firmTotals = []string{
	"total", "totals", "sum", "mean", "average", "subtotal", "sub total", "grand total",
	"gesamt", "gesamtergebnis", "gesamtsumme", "summe", "zwischensumme", "mittelwert", "durchschnitt",
	"somme", "total général", "sous total", "moyenne",
	"suma", "total general", "promedio", "totale", "somma", "totali", "totaal", "subtotaal", "gemiddelde",
	"summa", "totalt", "delsumma", "medelvärde", "genomsnitt", "snitt", "gjennomsnitt", "gennemsnit", "middelværdi",
	"soma", "totais", "razem", "średnia",
}

var firm = setOf(firmTotals...)

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

// IsTotalOf reports a text that begins with such a word and goes on, "Summa K1": a total
// where its row holds numbers alone.
func IsTotalOf(s string) bool {
	word, rest, ok := strings.Cut(strings.TrimSpace(s), " ")
	return ok && len(s) <= 40 && IsFirmTotal(strings.TrimRight(word, ":")) && strings.TrimSpace(rest) != ""
}

// IsFirmTotal reports a word for a total that hardly is, or begins, a code.
func IsFirmTotal(s string) bool {
	_, total := firm.in(s)
	return total
}

// ShortTotalOf reports one whose other words are no longer than a code has letters in a row,
// so that none of them is a name.
func ShortTotalOf(s string) bool {
	if !IsTotalOf(s) {
		return false
	}
	_, rest, _ := strings.Cut(strings.TrimSpace(s), " ")
	letters := 0
	for _, c := range rest {
		if letters++; !unicode.IsLetter(c) {
			letters = 0
		}
		if letters > 2 {
			return false
		}
	}
	return true
}
