package verb

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"

	"shortfall/cmd/console"
	"shortfall/cmd/job"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// mostAsked bounds the rounds of questions: an answer can open further points.
const mostAsked = 8

// readAsking reads a file and, on a terminal, puts its open questions to the
// person there; in a pipe, and with --no-questions, the file is refused with them.
func (a *app) readAsking(ctx context.Context, path string, r *reading, p *console.Progress) (*casebook.Batch, error) {
	o := r.Options
	o.Ask = r.asks
	o.Answers = question.Answers{}
	for id, word := range r.answers {
		o.Answers[id] = word
	}
	batch, err := a.Read(ctx, path, o)
	for range mostAsked {
		var refused *ingest.Refused
		if !errors.As(err, &refused) || len(refused.Questions) == 0 || !job.OnlyQuestions(refused) || !r.asks {
			break
		}
		var given question.Answers
		var askErr error
		p.Clear(func() {
			fmt.Fprintf(a.err, "%s leaves %s open.\n", path, plural(len(question.Groups(refused.Questions)), "point"))
			given, askErr = console.AskAll(a.lines(), a.err, refused.Questions)
		})
		if askErr != nil {
			return nil, err // the person gave up: the file stays refused
		}
		for id, word := range given {
			o.Answers[id] = word
		}
		batch, err = a.Read(ctx, path, o)
	}
	return batch, err
}

// atTerminal reports a person at the keyboard who sees what is asked.
func (a *app) atTerminal() bool {
	f, ok := a.in.(*os.File)
	return ok && console.IsTerminal(f) && console.IsTerminal(a.err)
}

// lines reads answers from the standard input, one buffer for the whole run.
func (a *app) lines() *bufio.Reader {
	if a.typed == nil {
		a.typed = bufio.NewReader(a.in)
	}
	return a.typed
}
