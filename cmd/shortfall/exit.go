package main

import (
	"context"
	"errors"
	"fmt"

	"shortfall/ingest/store"
)

// Exit codes; see the package comment.
const (
	exitOK          = 0
	exitData        = 1
	exitUsage       = 2
	exitUnreadable  = 3
	exitDatabase    = 4
	exitInternal    = 5
	exitInterrupted = 130
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

func usage(format string, args ...any) error {
	return &failure{code: exitUsage, err: fmt.Errorf(format, args...)}
}

func unreadable(err error) error { return &failure{code: exitUnreadable, err: err} }

// reported ends a verb whose findings are already in the summary.
func reported(code int) error {
	if code == exitOK {
		return nil
	}
	return &failure{code: code, silent: true}
}

// codeOf classifies an error. Before a verb started, an error is one of usage.
func codeOf(err error, started bool) int {
	var f *failure
	var db *store.Error
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return exitInterrupted
	case errors.As(err, &f):
		return f.code
	case errors.Is(err, store.ErrPracticeOpen):
		return exitData
	case errors.As(err, &db):
		return exitDatabase
	case !started:
		return exitUsage
	}
	return exitInternal
}
