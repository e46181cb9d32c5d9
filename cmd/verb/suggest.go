package verb

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/output"
	"shortfall/ingest/sheet"

	"github.com/spf13/cobra"
)

// otherWords are what other people call our verbs.
var otherWords = map[string]string{
	"import": "ingest", "check": "ingest", "load": "ingest", "read": "ingest", "add": "ingest", "report": "audit", "analyse": "audit", "analyze": "audit", "run": "audit",
	"serve": "open", "start": "open", "page": "open", "web": "open", "anonymise": "pseudonymise", "anonymize": "pseudonymise", "delete": "remove", "undo": "remove",
}

func unknownCommand(cmd *cobra.Command, word string) error {
	if verb := otherWords[word]; verb != "" {
		return exit.Usage("unknown command %q; did you mean %q?", word, "shortfall "+verb)
	}
	var names []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return exit.Usage("unknown command %q%s", word, flags.DidYouMean(word, "", names))
}

// meant gives the arguments that are meant where no verb begins them: spreadsheets alone,
// as when they are dropped on the program, are audited. Another word in the place of the verb
// is a mistyped one, whatever follows it.
func (a *app) meant(root *cobra.Command, args []string) ([]string, error) {
	at := slices.IndexFunc(args, func(s string) bool { return !strings.HasPrefix(s, "-") || s == output.Stdout })
	if at < 0 {
		return args, nil
	}
	word := args[at]
	root.InitDefaultHelpCmd()
	if cmd, _, err := root.Find([]string{word}); err == nil && cmd != root || strings.HasPrefix(word, "__") || word == "completion" {
		return args, nil // a verb, or one that cobra answers itself
	}
	_, missing := os.Lstat(word)
	if missing != nil && !slices.Contains(sheet.Spreadsheets, strings.ToLower(filepath.Ext(word))) {
		return nil, unknownCommand(root, word)
	}
	a.lone = true
	if before := slices.Index(args[:at], "--"); before >= 0 {
		at = before
	}
	return slices.Concat(args[:at], []string{"audit"}, args[at:]), nil
}

// noArguments is for verbs that take flags only.
func noArguments(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return exit.Usage("takes no argument such as %q", args[0])
	}
	return nil
}

// oneArgument is for verbs that take exactly one, named for the message.
func oneArgument(name string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return exit.Usage("needs %s", name)
		}
		return atMostOne(name)(cmd, args)
	}
}

// atMostOne is for verbs that take one argument or none.
func atMostOne(name string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 1 {
			return exit.Usage("takes one argument, not %d: %s", len(args), name)
		}
		return nil
	}
}
