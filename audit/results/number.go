package results

import (
	"encoding/json"
	"math"
	"strconv"
)

// Number is a float64 that JSON can carry: "not estimable" (NaN or infinite)
// is written as null and read back as NaN.
type Number float64

// NotEstimable is the missing number.
var NotEstimable = Number(math.NaN())

// OK reports whether the number was estimated.
func (n Number) OK() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

// IsZero lets `omitzero` drop fields that were never set and those not estimable.
func (n Number) IsZero() bool { return n == 0 || !n.OK() }

// MarshalJSON writes null for a number that was not estimated.
func (n Number) MarshalJSON() ([]byte, error) {
	if !n.OK() {
		return []byte("null"), nil
	}
	return appendNumber(nil, float64(n)), nil
}

// appendNumber writes a finite number as encoding/json does: as ECMAScript converts
// numbers to text (ECMA-262, Number::toString), without looking at its type first.
func appendNumber(b []byte, v float64) []byte {
	format := byte('f')
	if size := math.Abs(v); size != 0 && (size < 1e-6 || size >= 1e21) {
		format = 'e'
	}
	b = strconv.AppendFloat(b, v, format, -1, 64)
	if n := len(b); format == 'e' && n >= 4 && b[n-4] == 'e' && b[n-3] == '-' && b[n-2] == '0' { // e-09 is e-9
		b[n-2] = b[n-1]
		b = b[:n-1]
	}
	return b
}

// UnmarshalJSON reads a number or null.
func (n *Number) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = NotEstimable
		return nil
	}
	return json.Unmarshal(b, (*float64)(n))
}
