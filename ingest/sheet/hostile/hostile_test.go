package hostile

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The collection is as large as it says and no file of it is beyond its size.
func TestCollection(t *testing.T) {
	n, seen := 0, map[string]bool{}
	for f := range Files {
		n++
		assert.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
		assert.Less(t, len(f.Data), 20<<20, f.Name)
		assert.NotEmpty(t, f.Data, f.Name)
	}
	assert.GreaterOrEqual(t, n, 222)
	t.Log(n, "files")
}
