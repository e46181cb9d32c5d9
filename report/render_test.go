package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/report/paper"
)

var keep = flag.String("keep", "", "folder to keep the PDFs of the layout fixtures in, to look at")

func TestKeepPDFs(t *testing.T) {
	if *keep == "" {
		t.Skip("no -keep folder given")
	}
	for name, r := range fixtures() {
		for _, size := range []paper.Size{paper.A4, paper.Letter} {
			var b bytes.Buffer
			require.NoError(t, PDF(&b, r, Options{Paper: size}))
			file := strings.ReplaceAll(name, " ", "-") + "-" + strings.ToLower(size.Name) + ".pdf"
			require.NoError(t, os.WriteFile(filepath.Join(*keep, file), b.Bytes(), 0o600))
		}
	}
}
