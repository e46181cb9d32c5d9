package page

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The sample is read again where its reading was stopped, or its file taken out: the
// practice is there and empty. Nothing of it waits among the files in work.
func TestSampleThatWasStopped(t *testing.T) {
	t.Parallel()
	w := open(t)
	p := w.begin("invented sample")
	w.post("/demo")
	w.until(p+"/records", "practice.xlsx")
	assert.NotContains(t, w.see(p+"/read"), "being read")
}
