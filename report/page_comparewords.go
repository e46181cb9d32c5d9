package report

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
)

// inWords explains the highlighted cells among those drawn, and the primary one.
func (l *layout) inWords(drawn []results.Comparison) {
	l.d.Heading("The highlighted comparisons in words", 5*paper.Baseline)
	var told []results.Comparison
	any := false
	for _, c := range drawn {
		any = any || highlighted(c)
		if highlighted(c) || c.Primary {
			told = append(told, c)
		}
	}
	common := commonAdjusters(told)
	if !any {
		l.d.Para(11, nil, paper.T("None: no cell's interval leaves out zero after correction for multiple comparisons. That is not evidence that the styles do the same; how small a difference could have been seen is in "), l.d.Ref("table-comparisons"), paper.T("."))
	} else {
		l.d.Para(11, nil, paper.T(commonWords(common)+"The E-value says how strongly something not recorded would have to go with both the choice of the feature and a good result to explain the difference away; its limit, to make it indistinguishable. Covariates side by side: "), l.d.Ref("table-balance"), paper.T("."))
	}
	for _, c := range told {
		l.d.Space(0.25)
		l.tell(c, slices.DeleteFunc(slices.Clone(c.Adjusters), func(a string) bool { return any && slices.Contains(common, a) }), any)
	}
}

// commonAdjusters are the covariates every comparison was adjusted for.
func commonAdjusters(cs []results.Comparison) (out []string) {
	if len(cs) == 0 {
		return nil
	}
	for _, a := range cs[0].Adjusters {
		if !slices.ContainsFunc(cs, func(c results.Comparison) bool { return !slices.Contains(c.Adjusters, a) }) {
			out = append(out, a)
		}
	}
	return out
}

func commonWords(common []string) string {
	if len(common) == 0 {
		return ""
	}
	return "Each is adjusted for " + list(common) + "; what else, is named with it. "
}

// tell explains one comparison; adjusters are those still to be named, further
// ones where others are named above.
func (l *layout) tell(c results.Comparison, adjusters []string, further bool) {
	head := wording.Capital(string(c.Verdict))
	if c.Primary {
		head += " (the primary comparison)"
	}
	text := tidyP(fmt.Sprintf("Unadjusted %s; P = %s after correction", wording.Points(c.Unadjusted.Difference), wording.P(c.Adjusted.PAdjusted)))
	if c.EValue.Estimate.OK() {
		text += fmt.Sprintf("; E-value %s (limit %s)", wording.Fixed(c.EValue.Estimate, 1), wording.Fixed(c.EValue.Limit, 1))
	}
	text += "."
	if c.Reading == "" {
		head = wording.Capital(wording.Where(c.By, l.set.Notation)) + ": " + head
		text = "Adjusted " + pointsText(c.Adjusted) + ". " + text
	}
	if len(adjusters) > 0 {
		text += " Adjusted " + map[bool]string{true: "also "}[further] + "for " + list(adjusters) + "."
	}
	ids := l.notes(c.Warnings)
	l.d.Para(11, ids, paper.B(head+". "), paper.T(strings.TrimSpace(wording.Sentence(c.Reading)+" "+text)+paper.Marks(ids)))
}

// exploratory lists the cells by tooth class and arch that stand out: nobody
// asked for them beforehand, so they are named as such and not drawn.
func (l *layout) exploratory(drawn []results.Comparison) {
	shown := chosen(drawn)
	finer := len(drawn) - len(shown)
	if finer == 0 {
		return
	}
	t := paper.Table{ID: "table-exploratory", Columns: []paper.Column{
		{Head: "Teeth, movement, course"}, {Head: "Cases CD v SS", W: 16, Right: true}, {Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 32, Right: true}, {Head: "P, corr.", W: 16, Right: true}, {Head: "Verdict", W: 18},
	}, Below: []paper.Run{paper.M("CD clinician-designed, SS software-suggested; points of expression. Every cell: " + onSheet("comparisons") + ".")}}
	for _, c := range drawn {
		if !highlighted(c) || allTeeth(c.By) || c.Primary {
			continue
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Capital(wording.Place(c.By, l.set.Notation)) + ", " + wording.Movement(c.By) + ", " + wording.Course(c.By.Course)},
			{Text: versus(arm(c, casebook.ClinicianDesigned).Cases, arm(c, casebook.SoftwareSuggested).Cases)},
			{Text: pointsText(c.Adjusted), Notes: l.notes(c.Warnings)},
			{Text: wording.P(c.Adjusted.PAdjusted)},
			{Text: string(c.Verdict)},
		}})
	}
	if len(t.Rows) == 0 {
		l.d.Space(0.5)
		l.d.Para(11, nil, paper.B("Exploratory: "), paper.T(fmt.Sprintf("none of %s by tooth class and arch could be told apart from no difference. All of them: %s.", wording.Of(finer, "finer cell"), onSheet("comparisons"))))
		return
	}
	t.Title = fmt.Sprintf("Exploratory: %d of %s by tooth class and arch stand out after correction. They were not asked for beforehand and need confirming in new cases.", len(t.Rows), wording.Of(finer, "finer cell"))
	l.d.Space(1)
	l.dense(t)
}
