package chart

import "strings"

// wrapWords breaks text at spaces into lines of a width in mm.
func wrapWords(s string, w float64, bold bool) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := word
		if line != "" {
			next = line + " " + word
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
