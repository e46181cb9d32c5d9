package job

import (
	"errors"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/store"
)

// RefusesFile tells a refusal of one file from trouble with the database.
func RefusesFile(err error) bool {
	for _, kind := range []error{store.ErrPracticeOpen, store.ErrClash, store.ErrTwin, store.ErrSpelling, store.ErrConflict} {
		if errors.Is(err, kind) {
			return true
		}
	}
	return false
}

// OnlyQuestions reports a file that nothing but questions refuses.
func OnlyQuestions(r *ingest.Refused) bool {
	errs := 0
	for _, p := range r.Problems {
		if p.Severity == casebook.Error {
			errs++
		}
	}
	return errs == len(question.Groups(r.Questions)) // those put as one are one problem
}
