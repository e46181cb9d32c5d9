package flags

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"shortfall/cmd/exit"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Nearest gives the candidate closest to a mistyped word, or "" where none is
// near enough to be meant.
func Nearest(word string, candidates []string) string {
	best, least := "", 3
	if len(word) < 4 {
		least = 2
	}
	for _, c := range candidates {
		d := EditDistance(strings.ToLower(word), strings.ToLower(c))
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(c), strings.ToLower(word)) {
			d = min(d, 1)
		}
		if d < least {
			best, least = c, d
		}
	}
	return best
}

// EditDistance counts insertions, deletions, substitutions and swaps of
// neighbours (optimal string alignment: Damerau, Commun ACM 1964;7:171-176).
func EditDistance(a, b string) int {
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

// DidYouMean is "" or "; did you mean X?".
func DidYouMean(word, prefix string, candidates []string) string {
	if n := Nearest(word, candidates); n != "" {
		return fmt.Sprintf("; did you mean %q?", prefix+n)
	}
	return ""
}

// Suggest adds the flag that was probably meant.
func Suggest(cmd *cobra.Command, err error) error {
	word, unknown := strings.CutPrefix(err.Error(), "unknown flag: --")
	var invalid *pflag.InvalidValueError
	var number *strconv.NumError
	switch {
	case errors.As(err, &invalid) && errors.As(invalid.Unwrap(), &number):
		return exit.Usage("--%s %s: expected a whole number", invalid.GetFlag().Name, invalid.GetValue())
	case errors.As(err, &invalid):
		return exit.Usage("--%s %s: %v", invalid.GetFlag().Name, invalid.GetValue(), invalid.Unwrap())
	case !unknown:
		return exit.Usage("%v", err)
	}
	var names []string
	add := func(f *pflag.Flag) { names = append(names, f.Name) }
	cmd.Flags().VisitAll(add)
	cmd.InheritedFlags().VisitAll(add)
	return exit.Usage("unknown flag --%s%s", word, DidYouMean(word, "--", names))
}
