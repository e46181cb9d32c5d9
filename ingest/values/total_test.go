package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTotals(t *testing.T) {
	for _, s := range []string{"Total", "TOTAL:", "Mean ± SD", "Gesamt", "Summe", "Somme", "Écart-type", "n"} {
		assert.True(t, IsTotal(s), s)
	}
	for _, s := range []string{"", "no", "totally", "K-001", "N-1", "Sumi", "mean 3"} {
		assert.False(t, IsTotal(s), s)
	}
}
