package asked

import (
	"os"
	"testing"

	"invented/helps"
)

var list = []func(){helps.Contract{}.Run}

func each(of []func()) {
	for _, f := range of {
		f()
	}
}

func Within[T any](x T) T { helps.Often(); return x }

func TestItself(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip()
	}
}

func TestThroughAnother(t *testing.T) { helps.Often() }

func TestThroughAList(t *testing.T) { each(list) }

func TestThroughAMethod(t *testing.T) {
	var c helps.Contract
	t.Run("all of it", func(t *testing.T) { c.Run() })
}

func TestThroughAType(t *testing.T) { Within(1) }

func TestOfAnotherVariable(t *testing.T) { helps.Short() }

func TestOfAnotherMethod(t *testing.T) { helps.Contract{}.Easy() }

func TestOfNothing(t *testing.T) { each(nil) }
