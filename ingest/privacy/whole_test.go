package privacy

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Digits without an exponent are read without fractions, and give what fractions give.
func TestWholeNumbersAreReadAsFractionsWouldBe(t *testing.T) {
	for _, s := range []string{
		"", "0", "7", "007", "-12", "+12", "12.", "12,", "12.0", "12,00", "12.5", "12.05", "1234567", "1234567.000", "0000000",
		"1.2.3", "1,2.3", "--1", "1e3", "1.5E2", "1e-2", ".5", "a1", "1a", strings.Repeat("9", 64), strings.Repeat("9", 65),
	} {
		want := ""
		if numberForm.MatchString(s) && len(s) <= 64 {
			if x, ok := new(big.Rat).SetString(strings.Replace(strings.TrimLeft(s, "+-"), ",", ".", 1)); ok && x.IsInt() {
				want = x.Num().String()
			}
		}
		assert.Equal(t, want, whole(s), s)
	}
}
