package ingest

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var reads = flag.Int("reads", 0, "how often each fixture is read for one order of everything; else 2, and 30 with SHORTFALL_LONG")

// No order comes about by accident: each fixture read again and again gives the
// same records, rejected rows and problems in the same order. (Go draws the order
// of a map anew each time, so that one that reached the output would show.)
func TestEveryReadIsTheSame(t *testing.T) {
	files, err := filepath.Glob("testdata/files/*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	n := *reads
	switch {
	case n > 0:
	case os.Getenv("SHORTFALL_LONG") != "":
		n = 30
	default:
		n = 2
	}
	for _, f := range files {
		first := ""
		for i := range n {
			b, err := Read(context.Background(), f, Options{AllowIdentifiers: true})
			got, e := json.MarshalIndent(map[string]any{
				"batch": b, "error": fmt.Sprint(err), "problems": Problems(err),
			}, "", " ")
			require.NoError(t, e)
			if i == 0 {
				first = string(got)
			}
			if !assert.True(t, first == string(got), "%s, read %d: %s", f, i+1, differ(first, string(got))) {
				break
			}
		}
	}
}

// differ shows where two texts part.
func differ(a, b string) string {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	from := max(0, i-120)
	return fmt.Sprintf("...%s\nagainst\n...%s", a[from:min(len(a), i+120)], b[from:min(len(b), i+120)])
}
