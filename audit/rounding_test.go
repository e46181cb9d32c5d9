package audit_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fixedVerb is a verb of fmt that rounds the binary value, ties to even.
var fixedVerb = regexp.MustCompile(`%[-+# 0]*\d*\.\d+[fFeE]`)

// TestOneRuleOfRounding: 0.125 is 0.13 wherever it is printed. Numbers become text by
// audit/results/wording, or by audit/stats/round below it, never by a verb of fmt.
func TestOneRuleOfRounding(t *testing.T) {
	files := 0
	for _, dir := range []string{"../audit", "../report", "../cmd", "../ingest", "../sampledata"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
				strings.HasPrefix(path, "../ingest/privacy/") { // data for tests of the screen
				return err
			}
			text, err := os.ReadFile(path)
			files++
			for i, line := range strings.Split(string(text), "\n") {
				assert.False(t, fixedVerb.MatchString(line), "%s:%d rounds by itself: use wording.Fixed or round.Text", path, i+1)
			}
			return err
		})
		require.NoError(t, err)
	}
	assert.Greater(t, files, 300)
}
