package results

import (
	"encoding/json"
	"math"
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
	return json.Marshal(float64(n))
}

// UnmarshalJSON reads a number or null.
func (n *Number) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = NotEstimable
		return nil
	}
	return json.Unmarshal(b, (*float64)(n))
}
