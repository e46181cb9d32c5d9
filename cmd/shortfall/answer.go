package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/cmd/job"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// answers is the flag --answer id=choice, which may be given more than once.
type answers question.Answers

var _ pflag.Value = (*answers)(nil)

func (a *answers) String() string { return "" }
func (a *answers) Type() string   { return "ID=CHOICE" }

func (a *answers) Set(s string) error {
	id, word, err := question.Parse(s)
	if err != nil {
		return err
	}
	if *a == nil {
		*a = answers{}
	}
	(*a)[id] = word
	return nil
}

// mostAsked bounds the rounds of questions: an answer can open further points.
const mostAsked = 8

// readAsking reads a file and, on a terminal, puts its open questions to the
// person there; in a pipe, and with --no-questions, the file is refused with them.
func (a *app) readAsking(ctx context.Context, path string, r *reading, p *progress) (*casebook.Batch, error) {
	o := r.Options
	o.Ask = r.asks
	o.Answers = question.Answers{}
	for id, word := range r.answers {
		o.Answers[id] = word
	}
	batch, err := a.read(ctx, path, o)
	for range mostAsked {
		var refused *ingest.Refused
		if !errors.As(err, &refused) || len(refused.Questions) == 0 || !job.OnlyQuestions(refused) || !r.asks {
			break
		}
		var given question.Answers
		var askErr error
		p.clear(func() {
			fmt.Fprintf(a.err, "%s leaves %s open.\n", path, plural(len(refused.Questions), "point"))
			given, askErr = askAll(a.lines(), a.err, refused.Questions)
		})
		if askErr != nil {
			return nil, err // the person gave up: the file stays refused
		}
		for id, word := range given {
			o.Answers[id] = word
		}
		batch, err = a.read(ctx, path, o)
	}
	return batch, err
}

// atTerminal reports a person at the keyboard who sees what is asked.
func (a *app) atTerminal() bool {
	f, ok := a.in.(*os.File)
	return ok && isTerminal(f) && isTerminal(a.err)
}

// lines reads answers from the standard input, one buffer for the whole run.
func (a *app) lines() *bufio.Reader {
	if a.typed == nil {
		a.typed = bufio.NewReader(a.in)
	}
	return a.typed
}

// askAll puts questions one by one: numbered choices, Enter takes the proposal.
// Questions about several words of a column are put together, their choices once.
func askAll(in *bufio.Reader, out io.Writer, qs []question.Question) (question.Answers, error) {
	given := question.Answers{}
	groups := question.Groups(qs)
	for i, group := range groups {
		text := group[0].Text
		if len(group) > 1 {
			text = group[0].Group.Text
		}
		fmt.Fprintf(out, "\n%d of %d: %s\n", i+1, len(groups), wrap(text, "  "))
		if q := group[0]; q.Column != "" {
			fmt.Fprintf(out, "  column %q%s\n", q.Column, onSheet(q.Sheet))
		}
		for n, q := range group {
			if len(group) > 1 {
				fmt.Fprintf(out, "\n  %s\n", q.Text)
			}
			if n == 0 || !slices.Equal(q.Choices, group[n-1].Choices) {
				showChoices(out, q)
			}
			word, err := askOne(in, out, q)
			if err != nil {
				return nil, err
			}
			given[q.ID] = word
		}
	}
	return given, nil
}

// showChoices numbers the choices; of a long list those that are far from the
// word stand in one line.
func showChoices(out io.Writer, q question.Question) {
	for _, e := range q.Examples {
		fmt.Fprintf(out, "  %s\n", e)
	}
	near := q.Shown()
	for n, c := range q.Choices[:near] {
		fmt.Fprintf(out, "  %d  %s\n", n+1, wrap(choiceText(c), "     "))
	}
	var rest []string
	for n, c := range q.Choices[near:] {
		rest = append(rest, fmt.Sprintf("%d %s", near+n+1, c.Word))
	}
	if len(rest) > 0 {
		fmt.Fprintf(out, "  or  %s\n", wrap(strings.Join(rest, ", "), "      "))
	}
}

func onSheet(sheet string) string {
	if sheet == "" {
		return ""
	}
	return " of sheet " + sheet
}

func choiceText(c question.Choice) string {
	if c.Text == "" {
		return c.Word
	}
	return c.Word + ": " + c.Text
}

// askOne reads one answer: a number, a word of a choice, or nothing for the
// proposal.
func askOne(in *bufio.Reader, out io.Writer, q question.Question) (string, error) {
	for {
		switch {
		case q.Proposed != "":
			fmt.Fprintf(out, "Number, or Enter for %q: ", q.Proposed)
		case q.Several:
			fmt.Fprint(out, "Number, or several with commas: ")
		default:
			fmt.Fprint(out, "Number: ")
		}
		line, err := in.ReadString('\n')
		if err != nil {
			return "", err
		}
		if word, ok := chosen(q, strings.TrimSpace(line)); ok {
			return word, nil
		}
		fmt.Fprintf(out, "Type a number from 1 to %d.\n", len(q.Choices))
	}
}

// chosen turns what was typed into the word of a choice.
func chosen(q question.Question, typed string) (string, bool) {
	if typed == "" {
		return q.Proposed, q.Proposed != ""
	}
	if q.Has(typed) {
		return typed, true
	}
	parts := strings.Split(typed, ",")
	if len(parts) > 1 && !q.Several {
		return "", false
	}
	var words []string
	for _, p := range parts {
		n, err := strconv.Atoi(strings.TrimSpace(p))
		if err != nil || n < 1 || n > len(q.Choices) {
			return "", false
		}
		words = append(words, q.Choices[n-1].Word)
	}
	return strings.Join(words, ","), true
}
