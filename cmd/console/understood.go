package console

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
)

// understood is one screen of what was read in a file.
func understood(w io.Writer, path string, b *casebook.Batch) {
	u := job.Understood(b)
	fmt.Fprintf(w, "\n%s was understood so:\n", path)
	for _, s := range u.Sheets {
		fmt.Fprintf(w, "  %s\n", s)
	}
	for _, s := range u.Said[:min(len(u.Said), mostSaid)] {
		fmt.Fprintf(w, "  %s\n", Wrap("- "+s, "    "))
	}
	if more := len(u.Said) - mostSaid; more > 0 {
		fmt.Fprintf(w, "  - and %d more like these\n", more)
	}
	fmt.Fprintf(w, "  %s\n", u.Movements)
	for _, s := range []string{u.Attachments, u.Outcomes, u.Cases} {
		if s != "" {
			fmt.Fprintf(w, "  %s\n", s)
		}
	}
	if len(u.Unread) > 0 {
		fmt.Fprintf(w, "  %s\n", Wrap("not read, so nothing of it is kept: "+strings.Join(u.Unread, ", "), "    "))
	}
	for _, s := range u.Examples {
		fmt.Fprintf(w, "  %s\n", Wrap(s, "    "))
	}
}

// mostSaid is how many assumptions a screen lists.
const mostSaid = 14

// Confirm shows what was understood and asks whether to keep it.
func Confirm(in *bufio.Reader, out io.Writer, path string, b *casebook.Batch) bool {
	understood(out, path, b)
	left, keeps := job.ManyLeftOut(b), "Enter keeps it"
	if left != "" {
		fmt.Fprintf(out, "%s\n", Wrap(left+".", "  "))
		keeps = "y keeps the others all the same"
	}
	for {
		fmt.Fprintf(out, "%s, n leaves the file out: ", keeps)
		line, err := in.ReadString('\n')
		switch answer := strings.ToLower(strings.TrimSpace(line)); {
		case err != nil:
			return false
		case answer == "" && left == "", answer == "y", answer == "yes":
			return true
		case answer == "n", answer == "no":
			return false
		}
	}
}
