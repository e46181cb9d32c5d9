package chart

import "strings"

// wrapWords breaks text at spaces into lines of a width in mm.
func wrapWords(s string, w float64, bold bool) []string {
	var out []string
	line := ""
	for _, word := range pieces(spaced(s), w, bold) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if strings.HasSuffix(line, "-") {
			next = line + word
		}
		if line != "" && width(next, bold) > w {
			out, next = append(out, line), word
		}
		line = next
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// fitText shortens a line to a width with an ellipsis.
func fitText(s string, w float64, bold bool) string {
	if width(s, bold) <= w {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && width(string(r)+"…", bold) > w {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…"
}

// pieces cuts words wider than a line after their hyphens.
func pieces(words []string, w float64, bold bool) (out []string) {
	for _, word := range words {
		if width(word, bold) <= w {
			out = append(out, word)
			continue
		}
		out = append(out, strings.SplitAfter(word, "-")...)
	}
	return out
}

// spaced cuts at plain spaces: thin and no-break ones hold.
func spaced(s string) (out []string) {
	for _, word := range strings.Split(s, " ") {
		if word != "" {
			out = append(out, word)
		}
	}
	return out
}
