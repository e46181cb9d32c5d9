package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/paper"
)

// summary is page one: two minutes of reading.
func (l *layout) summary() {
	d, r := l.d, l.r
	d.Title(title(r))
	d.Subtitle(kindOfStudy + ", " + wording.Period(r.Scope))
	who := paper.M(wording.Sentence(wording.Practices(r.Scope.Practices)))
	if n := len(r.Scope.Practices); n > 3 {
		who = paper.M(wording.Of(n, "practice") + "; their codes are listed under Provenance.")
	}
	if r.Provenance.Invented {
		d.Para(12, nil, who, paper.B(" Invented data:"), paper.T(" every case, number and code is made up for demonstration."))
	} else {
		d.Para(12, nil, who)
	}
	d.Space(0.5)
	d.Para(12, nil,
		paper.B(wording.Of(r.Scope.Cases, "case")), paper.T(" · "), paper.B(wording.Of(r.Scope.Movements, "planned movement")), paper.T(" with a measured outcome · "),
		paper.B(wording.Of(r.Scope.Teeth, "tooth")), paper.T(" · "), paper.B(wording.Of(r.Scope.Clinicians, "clinician")))
	l.findings()
	todo, cautions := l.next(), l.cautions()
	l.keyFigure(d.TableHeight(todo) + d.ParaHeight(12, cautions...) + 1.5*paper.Baseline)
	d.Space(0.75)
	d.Table(todo)
	if len(l.r.Cautions) > 0 {
		d.Space(0.75)
		d.Para(12, nil, cautions...)
	}
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

// keyFigure sets the one figure that matters most: the highlighted and the
// primary comparisons where there are any to draw, else expression by
// direction. rest is the height in mm of what follows on page one; where the
// figure would push that over, a reference stands in its place.
func (l *layout) keyFigure(rest float64) {
	var rows []results.Comparison
	for _, c := range chosen(judged(l.r.Comparisons)) {
		if c.Primary || highlighted(c) {
			rows = append(rows, c)
		}
	}
	l.d.Space(0.75)
	if len(rows) == 0 {
		l.keyForest(rest)
		return
	}
	title, bold := keyTitle(rows)
	slices.SortStableFunc(rows, func(a, b results.Comparison) int { return cmp.Compare(rank(a), rank(b)) })
	for n := min(len(rows), 6); n > 0; n-- {
		head := title + bold
		if n < len(rows) {
			head += fmt.Sprintf(", %d of %d drawn", n, len(rows))
		}
		if f := l.differenceFigure("key", head, rows[:n], false); f.height()+rest <= l.d.Room(f.notes()) {
			f.place()
			return
		}
	}
	l.instead(title, "difference")
}

// instead refers to a figure there was no room for.
func (l *layout) instead(title, id string) {
	l.d.Para(12, nil, paper.T(title+": "), l.d.Ref(id), paper.T("."))
}

// rank puts the primary comparison first, then those with the smallest
// corrected P.
func rank(c results.Comparison) float64 {
	switch {
	case c.Primary:
		return -1
	case c.Adjusted.PAdjusted.OK():
		return float64(c.Adjusted.PAdjusted)
	}
	return 2
}

// keyTitle says what the rows show, and in the figure which of them are meant.
func keyTitle(rows []results.Comparison) (title, bold string) {
	n := 0
	for _, c := range rows {
		if highlighted(c) {
			n++
		}
	}
	switch n {
	case 0:
		return "The feature choice made no distinguishable difference; shown is the comparison declared beforehand", ""
	case 1:
		return "The feature choice was followed by a different result in one comparison", " (bold)"
	}
	return fmt.Sprintf("The feature choice was followed by a different result in %d comparisons", n), " (bold)"
}

// next lists what to consider, with room for owner and date.
func (l *layout) next() paper.Table {
	return paper.Table{
		Columns: []paper.Column{{W: 3}, {Head: "What to do next, by number of the finding"}, {Head: "Owner", W: 24}, {Head: "By", W: 14}},
		Rows:    l.actions(), Fill: true,
	}
}

// actions lists those the practice declared, then the questions the findings
// raise, at least two lines to fill in.
func (l *layout) actions() (rows []paper.Row) {
	for _, a := range l.r.Questions.Reaudit.Actions {
		rows = append(rows, paper.Row{Cells: []paper.Cell{{Text: "–", Bold: true}, {Text: wording.Sentence(a.What)}, {Text: a.Owner}, {Text: a.Due.String()}}})
	}
	for i, f := range l.r.Findings {
		if f.Action != "" {
			rows = append(rows, blankRow(strconv.Itoa(i+1), wording.Capital(f.Action)))
		}
	}
	for len(rows) < 2 {
		rows = append(rows, blankRow("", ""))
	}
	return rows
}

func blankRow(number, what string) paper.Row {
	return paper.Row{Cells: []paper.Cell{{Text: number, Bold: true}, {Text: what}, {}, {}}}
}

func (l *layout) cautions() []paper.Run {
	text := ""
	for _, c := range l.r.Cautions {
		text += " " + wording.Sentence(c)
	}
	return []paper.Run{paper.B("Cautions."), paper.T(text)}
}
