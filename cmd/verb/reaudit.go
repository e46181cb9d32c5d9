package verb

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/pflag"

	"shortfall/audit"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/ingest/scratch"
)

// reaudit names the files a practice declares its criteria in, and the results
// of the audit before.
type reaudit struct {
	criteria, orientations, since string
}

func (r *reaudit) flags(f *pflag.FlagSet) {
	f.StringVar(&r.criteria, "criteria", "", "targets, changes and actions declared in this `FILE`")
	f.StringVar(&r.orientations, "orientations", "", "orientations that suit each movement, from this `FILE`")
	f.StringVar(&r.since, "since", "", "say what changed since the results in this `FILE`")
}

// inputs are files that no output may replace; "" where not given.
func (r *reaudit) inputs() []string { return []string{r.criteria, r.orientations, r.since} }

// apply reads the files into the settings; the earlier results are nil where
// none were given. A file that says something wrong is an error of usage.
func (r *reaudit) apply(s *results.Settings) (earlier *results.Results, err error) {
	err = parse(r.criteria, func(name string, data []byte) error { return job.Declare(s, name, data) })
	if err != nil {
		return nil, err
	}
	err = parse(r.orientations, func(name string, data []byte) (err error) {
		s.Questions.FitTable, s.Questions.FitSource, err = declare.ParseFitTable(name, data)
		return err
	})
	if err != nil {
		return nil, err
	}
	err = parse(r.since, func(name string, data []byte) (err error) {
		earlier, err = audit.ParsePrevious(name, data)
		return err
	})
	return earlier, err
}

// largestDeclared of the files of criteria, orientations and earlier results, bytes.
const largestDeclared = 256 << 20

// parse hands over the content of a file under its base name, which is all
// that goes into results; no path does nothing.
func parse(path string, into func(name string, data []byte) error) error {
	if path == "" {
		return nil
	}
	data, err := scratch.Read(path, largestDeclared)
	if err != nil {
		return exit.Unreadable(fmt.Errorf("%s cannot be read: %w", path, exit.Cause(err)))
	}
	if err := into(filepath.Base(path), data); err != nil {
		return exit.Usage("%v", err)
	}
	return nil
}
