package mapping

import (
	"fmt"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/question"
)

// AnswersText writes the open points of a file as the last section of a mapping
// file: a line for each choice, commented out but for the one that was given.
func AnswersText(open []question.Question, given question.Answers) string {
	if len(open) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("\n# What the sheet leaves open. Take the # from the one answer that is right.\n[answers]\n")
	for _, q := range open {
		fmt.Fprintf(&b, "#\n# %s\n", oneLine(q.Text))
		for _, e := range q.Examples {
			fmt.Fprintf(&b, "#   %s\n", oneLine(e))
		}
		taken := given[q.ID]
		for _, c := range q.Choices {
			mark := "# "
			if c.Word == taken {
				mark = ""
			}
			note := c.Text
			if c.Word == q.Proposed {
				note += " (proposed)"
			}
			fmt.Fprintf(&b, "%s%s = %s  # %s\n", mark, quote(q.ID), quote(c.Word), oneLine(note))
		}
		if taken != "" && !inWords(q, taken) {
			fmt.Fprintf(&b, "%s = %s\n", quote(q.ID), quote(taken))
		}
	}
	return b.String()
}

// WordsOf are the words of the file that the mapping explains of a field.
func (f *File) WordsOf(field columns.Field) map[string]string {
	if f == nil {
		return nil
	}
	return f.Words[field.String()]
}

// inWords reports an answer that is one of the choices and not several of them.
func inWords(q question.Question, word string) bool {
	for _, c := range q.Choices {
		if c.Word == word {
			return true
		}
	}
	return false
}
