package main

import (
	"bufio"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// understood is one screen of what was read in a file, in plain words: sheets,
// columns that were recognised, courses, styles, and three movements.
func understood(w io.Writer, path string, b *casebook.Batch) {
	fmt.Fprintf(w, "\n%s was understood so:\n", path)
	for _, s := range b.Sheets {
		fmt.Fprintf(w, "  sheet %s: %s\n", s.Sheet, countsText(s.Counts))
	}
	said := 0
	for _, p := range b.Problems {
		switch rules.ID(p.Rule) {
		case rules.ColumnAssumed, rules.LayoutAssumed, rules.NotationAssumed, rules.QuestionAnswered, rules.CourseAssumed, rules.StyleNotFound:
			if said++; said <= mostSaid {
				where := ""
				if p.Column != "" {
					where = fmt.Sprintf(" (%s)", p.Column)
				}
				fmt.Fprintf(w, "  %s\n", wrap("- "+p.Message+where, "    "))
			}
		}
	}
	if said > mostSaid {
		fmt.Fprintf(w, "  - and %d more like these\n", said-mostSaid)
	}
	courses, styles := map[string]int{}, map[string]int{}
	for _, m := range b.Movements {
		courses[courseName(m.Value.Course)]++
		styles[styleName(m.Value.Style)]++
	}
	fmt.Fprintf(w, "  %d movements: %s\n", len(b.Movements), tally(courses))
	fmt.Fprintf(w, "  attachments: %s\n", tally(styles))
	for i, m := range b.Movements {
		if i == 3 {
			break
		}
		fmt.Fprintf(w, "  %s\n", wrap(inWords(m), "    "))
	}
}

// mostSaid is how many assumptions a screen lists.
const mostSaid = 14

func courseName(n int) string {
	if n == 1 {
		return "initial"
	}
	return fmt.Sprintf("refinement %d", n-1)
}

func styleName(s casebook.Style) string {
	if s == casebook.NoStyle {
		return "not recorded"
	}
	return s.String()
}

// tally writes "initial 12, refinement 1 5", in order of the words.
func tally(counts map[string]int) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		out = append(out, fmt.Sprintf("%s %d", k, counts[k]))
	}
	return strings.Join(out, ", ")
}

// inWords writes one movement as a sentence.
func inWords(r casebook.Record[casebook.Movement]) string {
	m := r.Value
	what := m.Axis.String()
	if d := m.Direction(); d != casebook.NoDirection && !m.SizeOnly {
		what = d.String()
	}
	outcome := "not measured"
	if m.Achieved.OK {
		outcome = fmt.Sprintf("%g %s achieved", m.Achieved.Value, m.Axis.Unit())
	} else if m.StatedPercent.OK {
		outcome = fmt.Sprintf("%g %% stated", m.StatedPercent.Value)
	}
	return fmt.Sprintf("row %d: tooth %s, %s course, %s %g %s planned, %s, attachment %s",
		r.Source.Row, m.Tooth, courseName(m.Course), what, m.Planned, m.Axis.Unit(), outcome, styleName(m.Style))
}

// confirm shows what was understood and asks whether to keep it.
func confirm(in *bufio.Reader, out io.Writer, path string, b *casebook.Batch) bool {
	understood(out, path, b)
	for {
		fmt.Fprint(out, "Enter keeps it, n leaves the file out: ")
		line, err := in.ReadString('\n')
		switch answer := strings.ToLower(strings.TrimSpace(line)); {
		case err != nil:
			return false
		case answer == "", answer == "y", answer == "yes":
			return true
		case answer == "n", answer == "no":
			return false
		}
	}
}
