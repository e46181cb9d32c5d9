package verb

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"shortfall/cmd/job"

	"github.com/spf13/cobra"
)

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print the version, the commit and the Go release it was built with",
		Example: "  shortfall version",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			fmt.Fprintf(a.out, "shortfall %s%s, %s %s/%s\n", a.Version, commit(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return nil
		},
	}
}

// commit is " (commit 1a2b3c4d5e6f)" where the build recorded it.
func commit() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	revision, modified := job.Revision(info)
	if len(revision) < 12 {
		return ""
	}
	if modified == "true" {
		return " (commit " + revision[:12] + ", modified)"
	}
	return " (commit " + revision[:12] + ")"
}
