package page

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What keeps the page from opening is said, and does not leave the program waiting.
func TestServingThatCannotBegin(t *testing.T) {
	t.Parallel()
	home := testHome(t)
	require.NoError(t, os.Mkdir(filepath.Join(home.Folder(), "opened.lock"), 0o700))
	over := make(chan error, 1)
	go func() { over <- Serve(t.Context(), Options{Home: home, Open: filepath.Join(home.Folder(), "a.db")}) }()
	select {
	case err := <-over:
		assert.ErrorContains(t, err, "the list of databases could not be written")
	case <-time.After(time.Minute):
		require.Fail(t, "it waits for tasks that nobody ends")
	}
}
