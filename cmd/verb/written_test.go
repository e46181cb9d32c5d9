package verb

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The name of a person is not printed.
func TestNoNameIsPrinted(t *testing.T) {
	var out bytes.Buffer
	a := &app{summary: &out}
	a.printWritten([]string{"Harriet Thornton.pdf"})
	assert.Equal(t, "Written: (name withheld)\n", out.String())
	out.Reset()
	a.printWritten([]string{"a.pdf\nshortfall: all is well.pdf"})
	assert.Equal(t, "Written: a.pdf\uFFFDshortfall: all is well.pdf\n", out.String())
}
