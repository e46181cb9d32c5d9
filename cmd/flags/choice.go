// Package flags holds the kinds of flags that several verbs take, those of the settings of
// an audit, and what is said of a mistyped one.
//
// Place in the pipeline: beneath cmd/verb; a value that makes no sense is an exit.Usage.
package flags

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// choice is a flag that takes one of a few words.
type choice[T any] struct {
	target *T
	words  []string
	values []T
	text   string
}

var _ pflag.Value = (*choice[int])(nil)

// Choose makes a flag whose words map to values; target keeps what it holds
// until the flag is given.
func Choose[T any](target *T, words []string, values []T, initial string) *choice[T] {
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
	return fmt.Errorf("expected %s%s", orList(c.words), DidYouMean(s, "", c.words))
}

// orList writes "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// month is a flag that takes a month, or a quarter by its first one.
type month struct {
	target *casebook.Month
	parse  func(string) (casebook.Month, error)
}

func monthOf(target *casebook.Month, parse func(string) (casebook.Month, error)) month {
	return month{target, parse}
}

func (m month) String() string { return "" }
func (m month) Type() string   { return "month" }

func (m month) Set(s string) (err error) {
	*m.target, err = m.parse(s)
	return err
}

// number is a flag that takes a finite number.
type number float64

var _ pflag.Value = (*number)(nil)

func (n *number) String() string { return strconv.FormatFloat(float64(*n), 'g', -1, 64) }
func (n *number) Type() string   { return "number" }

func (n *number) Set(s string) error {
	x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return errors.New("expected a number with a decimal point, such as 0.5")
	}
	*n = number(x)
	return nil
}

// Answers is the flag --answer id=choice, which may be given more than once.
type Answers question.Answers

var _ pflag.Value = (*Answers)(nil)

func (a *Answers) String() string { return "" }

func (a *Answers) Type() string { return "ID=CHOICE" }

func (a *Answers) Set(s string) error {
	id, word, err := question.Parse(s)
	if err != nil {
		return err
	}
	if *a == nil {
		*a = Answers{}
	}
	(*a)[id] = word
	return nil
}
