package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTotals(t *testing.T) {
	for _, s := range []string{"Total", "TOTAL:", "Mean ± SD", "Gesamt", "Summe", "Somme", "Écart-type", "n", "Summa", "Totalt", "Snitt", "Razem", "Média"} {
		assert.True(t, IsTotal(s), s)
	}
	for _, s := range []string{"", "no", "totally", "K-001", "N-1", "Sumi", "mean 3"} {
		assert.False(t, IsTotal(s), s)
	}
	for _, s := range []string{"Summa K1", "Total: K-01", "Summe P 3"} {
		assert.True(t, IsTotalOf(s) && ShortTotalOf(s), s)
	}
	assert.True(t, IsTotalOf("Suma Kumar") && !ShortTotalOf("Suma Kumar"), "that may be a name")
	for _, s := range []string{"Summa", "N 1", "Media 3", "K1 total", ""} {
		assert.False(t, IsTotalOf(s), s)
	}
}
