package console

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/question"
)

// AskAll puts questions one by one: numbered choices, Enter takes the proposal.
// Questions about several words of a column are put together, their choices once.
func AskAll(in *bufio.Reader, out io.Writer, qs []question.Question) (question.Answers, error) {
	given := question.Answers{}
	groups := question.Groups(qs)
	for i, group := range groups {
		text := group[0].Text
		if len(group) > 1 {
			text = group[0].Group.Text
		}
		fmt.Fprintf(out, "\n%d of %d: %s\n", i+1, len(groups), Wrap(text, "  "))
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
		fmt.Fprintf(out, "  %d  %s\n", n+1, Wrap(choiceText(c), "     "))
	}
	var rest []string
	for n, c := range q.Choices[near:] {
		rest = append(rest, fmt.Sprintf("%d %s", near+n+1, c.Word))
	}
	if len(rest) > 0 {
		fmt.Fprintf(out, "  or  %s\n", Wrap(strings.Join(rest, ", "), "      "))
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
