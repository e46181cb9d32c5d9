package casebook

import (
	"fmt"
	"strings"
)

// names is the table behind an enumerated word: index 0 is always "" and
// stands for "not recorded".
type names []string

func (n names) text(i uint8) string {
	if int(i) >= len(n) {
		return fmt.Sprintf("invalid(%d)", i)
	}
	return n[i]
}

func (n names) index(kind, s string) (uint8, error) {
	for i, w := range n {
		if strings.EqualFold(w, strings.TrimSpace(s)) {
			return uint8(i), nil
		}
	}
	return 0, fmt.Errorf("unknown %s: expected one of %s", kind, strings.Join(n[1:], ", "))
}

// all lists the values of an enumeration without "not recorded".
func all[E ~uint8](n names) []E {
	out := make([]E, 0, len(n)-1)
	for i := 1; i < len(n); i++ {
		out = append(out, E(i))
	}
	return out
}

// Opt is a value that may be missing; missing and zero are never confused.
type Opt[T any] struct {
	Value T
	OK    bool
}

// Some wraps a present value.
func Some[T any](v T) Opt[T] { return Opt[T]{Value: v, OK: true} }
