// Package exit turns what went wrong into the exit code of the program.
//
// Place in the pipeline: beneath all of cmd/shortfall. Where several codes apply, the
// highest wins; cmd/shortfall says what each means.
package exit

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"shortfall/ingest/store"
)

// Exit codes, as the comment of cmd/shortfall explains them.
const (
	CodeOK          = 0
	CodeData        = 1
	CodeUsage       = 2
	CodeUnreadable  = 3
	CodeDatabase    = 4
	CodeInternal    = 5
	CodeInterrupted = 130
)

// failure is an error with the exit code it leads to. A silent one has been
// reported already.
type failure struct {
	code   int
	err    error
	silent bool
}

func (f *failure) Error() string {
	if f.err == nil {
		return fmt.Sprintf("exit code %d", f.code)
	}
	return f.err.Error()
}

func (f *failure) Unwrap() error { return f.err }

// With is an error that leads to an exit code.
func With(code int, err error) error { return &failure{code: code, err: err} }

// Usage is an error in what was asked for.
func Usage(format string, args ...any) error {
	return With(CodeUsage, fmt.Errorf(format, args...))
}

// Unreadable is the error of an input that cannot be read, or an output that cannot be written.
func Unreadable(err error) error { return With(CodeUnreadable, err) }

// Reported ends a verb whose findings are already in the summary.
func Reported(code int) error {
	if code == CodeOK {
		return nil
	}
	return &failure{code: code, silent: true}
}

// CodeOf classifies an error. Before a verb started, an error is one of usage.
func CodeOf(err error, started bool) int {
	var f *failure
	var db *store.Error
	switch {
	case err == nil:
		return CodeOK
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return CodeInterrupted
	case errors.As(err, &f):
		return f.code
	case errors.Is(err, store.ErrPracticeOpen):
		return CodeData
	case errors.As(err, &db):
		return CodeDatabase
	case !started:
		return CodeUsage
	}
	return CodeInternal
}

// Cause strips the path that the message names already.
func Cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// Silent is true of an error that has been reported already.
func Silent(err error) bool {
	var f *failure
	return errors.As(err, &f) && f.silent
}

// InterruptedText is what a person reads who interrupted the program.
const InterruptedText = "shortfall: interrupted; nothing was left half written"
