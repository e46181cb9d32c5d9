package report

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
)

// reasons collects why cells were not compared, each once, lettered in order
// of first use.
type reasons struct{ texts, remedies []string }

func (r *reasons) letter(text string) string {
	i := slices.Index(r.texts, text)
	if i < 0 {
		i = len(r.texts)
		r.texts = append(r.texts, text)
	}
	if i > 25 {
		return "z" + string(rune('a'+(i-26)%26))
	}
	return string(rune('a' + i))
}

// of letters the reasons of one comparison: "a, b 48 %". A number after the
// colon of the reason stays with the cell.
func (r *reasons) of(c results.Comparison) string {
	var out []string
	if c.Overlap.Reason != "" {
		general, _, has := strings.Cut(c.Overlap.Reason, ":")
		s := r.letter(general)
		if has && c.Overlap.ShareInside.OK() {
			s += " " + wording.Percent(c.Overlap.ShareInside)
		}
		out = append(out, s)
	}
	for _, w := range c.Warnings {
		out = append(out, r.letter(w.Text))
		if s := wording.Sentence(w.Remedy); s != "" && !slices.Contains(r.remedies, s) {
			r.remedies = append(r.remedies, s)
		}
	}
	return strings.Join(out, ", ")
}

func (r *reasons) key() string {
	s := ""
	for _, text := range r.texts {
		s += " " + r.letter(text) + ": " + text + "."
	}
	return s
}

// notComparable lists what was not judged, a row a direction and course, with
// the reason of each cell.
func (l *layout) notComparable(cs []results.Comparison) {
	if len(cs) == 0 {
		return
	}
	t := paper.Table{ID: "table-not-comparable", Title: "Not comparable: " + wording.Of(len(cs), "cell"), Columns: []paper.Column{
		{Head: "Movement, course", W: 50}, {Head: "Teeth: cases clinician-designed v software-suggested (reason)"},
	}}
	var why reasons
	last := results.By{}
	for _, c := range cs {
		head := results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}
		text := wording.Place(c.By, l.set.Notation) + ": " + bothCases(arm(c, casebook.ClinicianDesigned).Cases, arm(c, casebook.SoftwareSuggested).Cases)
		if s := why.of(c); s != "" {
			text += " (" + s + ")"
		}
		if c.Primary {
			text += ", primary"
		}
		text = strings.ReplaceAll(text, " v ", "\u00a0v\u00a0")
		if head != last {
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: wording.Capital(wording.Movement(head)) + ", " + wording.Course(head.Course)}, {Text: text}}})
			last = head
			continue
		}
		row := &t.Rows[len(t.Rows)-1].Cells[1]
		row.Text += "; " + text
	}
	t.Below = []paper.Run{paper.M(strings.TrimSpace("Reasons, with the share of movements inside the range of the other style where that is one:" + why.key() + " " + strings.Join(why.remedies, " ")))}
	l.d.Space(1)
	l.dense(t)
}
