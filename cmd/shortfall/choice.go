package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

// choice is a flag that takes one of a few words.
type choice[T any] struct {
	target *T
	words  []string
	values []T
	text   string
}

var _ pflag.Value = (*choice[int])(nil)

// choose makes a flag whose words map to values; target keeps what it holds
// until the flag is given.
func choose[T any](target *T, words []string, values []T, initial string) *choice[T] {
	return &choice[T]{target: target, words: words, values: values, text: initial}
}

func (c *choice[T]) String() string { return c.text }
func (c *choice[T]) Type() string   { return strings.Join(c.words, "|") }

func (c *choice[T]) Set(s string) error {
	for i, w := range c.words {
		if strings.EqualFold(w, strings.TrimSpace(s)) {
			*c.target, c.text = c.values[i], w
			return nil
		}
	}
	return fmt.Errorf("expected %s%s", orList(c.words), didYouMean(s, "", c.words))
}

// orList writes "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
