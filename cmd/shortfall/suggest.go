package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// nearest gives the candidate closest to a mistyped word, or "" where none is
// near enough to be meant.
func nearest(word string, candidates []string) string {
	best, least := "", 3
	if len(word) < 4 {
		least = 2
	}
	for _, c := range candidates {
		d := editDistance(strings.ToLower(word), strings.ToLower(c))
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(c), strings.ToLower(word)) {
			d = min(d, 1)
		}
		if d < least {
			best, least = c, d
		}
	}
	return best
}

// editDistance counts insertions, deletions, substitutions and swaps of
// neighbours (optimal string alignment: Damerau, Commun ACM 1964;7:171-176).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	d := make([][]int, len(x)+1)
	for i := range d {
		d[i] = make([]int, len(y)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(x)][len(y)]
}

// didYouMean is "" or "; did you mean X?".
func didYouMean(word, prefix string, candidates []string) string {
	if n := nearest(word, candidates); n != "" {
		return fmt.Sprintf("; did you mean %q?", prefix+n)
	}
	return ""
}

func unknownCommand(cmd *cobra.Command, word string) error {
	var names []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return usage("unknown command %q%s", word, didYouMean(word, "", names))
}

// meant gives the arguments that are meant where no verb begins them: spreadsheets alone,
// as when they are dropped on the program, are audited. Another word in the place of the verb
// is a mistyped one, whatever follows it.
func (a *app) meant(root *cobra.Command, args []string) ([]string, error) {
	at := slices.IndexFunc(args, func(s string) bool { return !strings.HasPrefix(s, "-") || s == toStdout })
	if at < 0 {
		return args, nil
	}
	word := args[at]
	root.InitDefaultHelpCmd()
	if cmd, _, err := root.Find([]string{word}); err == nil && cmd != root || strings.HasPrefix(word, "__") || word == "completion" {
		return args, nil // a verb, or one that cobra answers itself
	}
	_, missing := os.Lstat(word)
	if missing != nil && !slices.Contains(spreadsheets, strings.ToLower(filepath.Ext(word))) {
		return nil, unknownCommand(root, word)
	}
	a.lone = true
	if before := slices.Index(args[:at], "--"); before >= 0 {
		at = before
	}
	return slices.Concat(args[:at], []string{"audit"}, args[at:]), nil
}

// suggestFlag adds the flag that was probably meant.
func suggestFlag(cmd *cobra.Command, err error) error {
	word, unknown := strings.CutPrefix(err.Error(), "unknown flag: --")
	var invalid *pflag.InvalidValueError
	var number *strconv.NumError
	switch {
	case errors.As(err, &invalid) && errors.As(invalid.Unwrap(), &number):
		return usage("--%s %s: expected a whole number", invalid.GetFlag().Name, invalid.GetValue())
	case errors.As(err, &invalid):
		return usage("--%s %s: %v", invalid.GetFlag().Name, invalid.GetValue(), invalid.Unwrap())
	case !unknown:
		return usage("%v", err)
	}
	var names []string
	add := func(f *pflag.Flag) { names = append(names, f.Name) }
	cmd.Flags().VisitAll(add)
	cmd.InheritedFlags().VisitAll(add)
	return usage("unknown flag --%s%s", word, didYouMean(word, "--", names))
}

// noArguments is for verbs that take flags only.
func noArguments(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage("takes no argument such as %q", args[0])
	}
	return nil
}

// oneArgument is for verbs that take exactly one, named for the message.
func oneArgument(name string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return usage("needs %s", name)
		case len(args) > 1:
			return usage("takes one argument, not %d: %s", len(args), name)
		}
		return nil
	}
}
