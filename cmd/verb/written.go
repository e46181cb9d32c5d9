package verb

import (
	"fmt"
	"strings"

	"shortfall/cmd/output"
	"shortfall/ingest/screen"
)

// printWritten says where the outputs are.
func (a *app) printWritten(files []string) {
	if a.quiet || len(files) == 0 {
		return
	}
	shown := make([]string, len(files))
	for i, path := range files {
		shown[i] = screen.Shown(path)
	}
	fmt.Fprintf(a.summary, "Written: %s\n", words(shown))
}

// words writes "a, b and c".
func words(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}

// accept checks the outputs of a verb; where the results go to standard output, what is
// said for people does not.
func (a *app) accept(out *output.Renderings, inputs []string) error {
	if out.ToStdout() {
		a.summary = a.err
	}
	return out.Check(inputs)
}
