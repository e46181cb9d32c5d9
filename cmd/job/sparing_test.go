package job

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Memory in use grows to the room there is, never by more than it is, and by the least there
// beyond.
func TestGrowth(t *testing.T) {
	for live, want := range map[uint64]int{
		0: 20, 1: 100, 200 << 20: 100, 250 << 20: 60, 320 << 20: 25, 340 << 20: 20, 400 << 20: 20, 4 << 30: 20,
	} {
		assert.Equal(t, want, growth(live, 20), live>>20)
	}
	assert.Equal(t, 50, growth(300<<20, 50))
	assert.Equal(t, 400, growth(1<<20, 400), "of a program that is told so")
}

// A small file changes nothing, a large one until its end.
func TestSparingEnds(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(largeFiles-1))
	now := func() int { p := debug.SetGCPercent(100); debug.SetGCPercent(p); return p }
	before := now()
	Sparing(path)()
	end := Sparing(path)
	assert.Equal(t, before, now())
	end()
	require.NoError(t, f.Truncate(largeFiles))
	require.NoError(t, f.Close())
	end = Sparing(path)
	within := Keeping(path)
	within()
	end()
	assert.Equal(t, before, now())
}
