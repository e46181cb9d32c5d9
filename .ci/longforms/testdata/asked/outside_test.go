package asked_test

import (
	"testing"

	"invented/asked"
)

func TestFromOutside(t *testing.T) { asked.Within("") }
