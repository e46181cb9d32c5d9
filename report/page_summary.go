package report

import (
	"strconv"

	"shortfall/audit"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

// summary is page one: two minutes of reading.
func (l *layout) summary() {
	d, r := l.d, l.r
	d.Title(title(r))
	d.Subtitle(kindOfStudy + ", " + wording.Period(r.Scope))
	if n := len(r.Scope.Practices); n > 3 {
		d.Para(12, nil, paper.M(wording.Capital(wording.Of(n, "practice"))+"; their codes are listed under Provenance."))
	} else {
		d.Para(12, nil, paper.M(wording.Capital(wording.Practices(r.Scope.Practices))))
	}
	if r.Provenance.Invented {
		d.Para(12, nil, paper.B("Invented data."), paper.T(" Every case, number and code in this report is made up for demonstration."))
	}
	d.Space(1)
	d.Numbers([]paper.Big{
		{Value: wording.Count(r.Scope.Cases), Words: "cases analysed"},
		{Value: wording.Count(r.Scope.Movements), Words: "planned movements"},
		{Value: wording.Count(r.Scope.Teeth), Words: "teeth"},
		{Value: wording.Count(r.Scope.Clinicians), Words: "clinicians"},
	})
	l.findings()
	l.keyFigure()
	l.next()
	l.cautions()
}

func (l *layout) findings() {
	l.d.Heading("What was found", 3*paper.Baseline)
	if len(l.r.Findings) == 0 {
		l.d.Para(11, nil, paper.T("Nothing could be stated. The flow of records ("), l.d.Ref("flow"), paper.T(") shows what was there and where it left."))
	}
	for i, f := range l.r.Findings {
		ids := l.notes(f.Warnings)
		runs := []paper.Run{paper.T(wording.Sentence(f.Text) + paper.Marks(ids))}
		if f.Limits != "" {
			runs = append(runs, paper.M(" "+wording.Sentence(f.Limits)))
		}
		l.d.Item(strconv.Itoa(i+1), 12, ids, runs...)
	}
}

// keyFigure shows the one figure that matters most: the highlighted and the
// primary comparisons where there are any to draw, else expression by direction.
func (l *layout) keyFigure() {
	var rows []audit.Comparison
	for _, c := range l.r.Comparisons {
		if c.Verdict != audit.NotComparable && (c.Primary || highlighted(c)) {
			rows = append(rows, c)
		}
	}
	const most = 5 // rows that leave room for the rest of the page
	if len(rows) > most {
		rows = rows[:most]
	}
	l.d.Space(1)
	if len(rows) > 0 {
		l.differenceFigure("key", keyTitle(len(rows)), rows, false)
		return
	}
	l.keyForest()
}

func keyTitle(int) string {
	return "Where the feature choice was followed by a different result, and the comparison declared beforehand"
}

// next lists what to consider, with room for owner and date.
func (l *layout) next() {
	l.d.Heading("What to do next", 6*paper.Baseline)
	t := paper.Table{
		Columns: []paper.Column{{Head: "To decide in the practice"}, {Head: "Owner", W: 32}, {Head: "By", W: 22}},
		Fill:    true,
	}
	for _, a := range l.r.Questions.Reaudit.Actions {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: wording.Sentence(a.What)}, {Text: a.Owner}, {Text: a.Due.String()}}})
	}
	for _, f := range l.r.Findings {
		if f.Action != "" {
			t.Rows = append(t.Rows, blankRow(wording.Capital(f.Action)))
		}
	}
	for len(t.Rows) < 2 {
		t.Rows = append(t.Rows, blankRow(""))
	}
	l.d.Table(t)
}

func blankRow(what string) paper.Row {
	return paper.Row{Cells: []paper.Cell{{Text: what}, {}, {}}}
}

func (l *layout) cautions() {
	if len(l.r.Cautions) == 0 {
		return
	}
	l.d.Heading("Cautions", 2*paper.Baseline)
	text := ""
	for _, c := range l.r.Cautions {
		text += wording.Sentence(c) + " "
	}
	l.d.Para(11, nil, paper.T(text))
}
