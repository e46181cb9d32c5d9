package hostile

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The collection is as large as it says and no file of it is beyond its size. To make all
// files takes a while: everyday it is the first of them, with SHORTFALL_LONG all.
func TestCollection(t *testing.T) {
	const few = 20
	n, seen := 0, map[string]bool{}
	for f := range Files {
		n++
		assert.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
		assert.Less(t, len(f.Data), 20<<20, f.Name)
		assert.NotEmpty(t, f.Data, f.Name)
		if n == few && os.Getenv("SHORTFALL_LONG") == "" {
			return
		}
	}
	assert.GreaterOrEqual(t, n, 500)
	t.Log(n, "files")
}
