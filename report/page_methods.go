package report

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// methods is section 8: methods, definitions, limitations, settings, provenance.
func (l *layout) methods() {
	d := l.d
	d.Section("section-methods", "Methods", 100)
	for _, line := range l.r.SectionOf("methods").Lines {
		if line.Role == results.Plain {
			d.Para(11, nil, paper.T(line.Text))
			d.Space(0.5)
		}
	}
	d.Space(0.5)
	d.Place(paper.Figure{
		ID: "signs", Title: "Sign convention: positive directions, seen from the tooth itself, so that left and right read alike",
		Chart: chart.Signs(d.Width()),
		Below: []paper.Run{paper.M("Crown movements. Tip and mesiodistal shift are seen from the cheek with mesial on the left, torque and buccolingual shift from the mesial side with the cheek on the left, rotation from the biting surface. A sheet that records size without direction is taken as positive and says so.")},
	}, false)
	l.definitions()
	l.limitations()
	l.settings()
	l.provenance()
}

func trim(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.4f", v), "0"), ".")
}

func (l *layout) definitions() {
	if len(l.r.Definitions) == 0 {
		return
	}
	l.d.Heading("Definitions", 3*paper.Baseline)
	l.d.Set(paper.Dense, func() {
		for _, x := range l.r.Definitions {
			l.d.Para(12, nil, paper.B(wording.Capital(x.Term)+". "), paper.T(strings.TrimSuffix(wording.Sentence(x.Formula), ".")+". "), paper.M(wording.Sentence(x.Source)))
			l.d.Space(0.2)
		}
	})
}

func (l *layout) limitations() {
	l.d.Heading("Limitations", 3*paper.Baseline)
	for _, line := range l.r.SectionOf("methods").Lines {
		if line.Role == results.Item {
			l.d.Item("•", 12, nil, paper.T(line.Text))
		}
	}
}

func (l *layout) settings() {
	t := paper.Table{Columns: []paper.Column{{Head: "Setting", W: 82}, {Head: "Value"}}}
	for _, kv := range l.settingRows() {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: kv[0]}, {Text: kv[1]}}})
	}
	l.d.Set(paper.Dense, func() { l.d.HeadedTable("Settings", t) })
}

// settingRows words the settings of the audit.
func (l *layout) settingRows() [][2]string {
	s := l.set
	primary := "none"
	if s.Primary != (results.By{}) {
		primary = wording.Where(s.Primary, s.Notation)
	}
	return [][2]string{
		{"Confidence level", wording.Level(s.Level)},
		{"Tolerance", trim(s.ToleranceMM) + " mm, " + trim(s.ToleranceDeg) + "°"},
		{"Smallest meaningful plan", trim(s.SmallestMM) + " mm, " + trim(s.SmallestDeg) + "°"},
		{"Fewest cases shown, where results are shared", strconv.Itoa(s.MinCellCases)},
		{"Fewest cases for an interval", strconv.Itoa(s.MinIntervalCases)},
		{"Shared outside the practice", map[bool]string{true: "yes", false: "no"}[s.Shared]},
		{"Alpha, and correction for multiple comparisons", trim(s.Alpha) + ", " + s.Multiplicity},
		{"Primary comparison", primary},
		{"Tooth notation", notationWords(s.Notation)},
	}
}

func notationWords(n casebook.Notation) string {
	switch n {
	case casebook.Universal:
		return "Universal, 1 to 32"
	case casebook.Palmer:
		return "Palmer, quadrant and position"
	}
	return "FDI two-digit (ISO 3950)"
}

func (l *layout) provenance() {
	p := l.r.Provenance
	l.d.Heading("Provenance", 4*paper.Baseline)
	date := p.Date
	if date == "" {
		date = "not given"
	}
	l.d.Para(11, nil, paper.T(fmt.Sprintf("Made by %s %s; results schema %s; date of the audit %s. The same records and settings give the same report.", p.Tool, p.Version, l.r.SchemaVersion, date)))
	if len(l.r.Scope.Practices) > 3 {
		l.d.Space(0.5)
		l.d.Para(12, nil, paper.B("Practices: "), paper.T(strings.Join(l.r.Scope.Practices, ", ")+"."))
	}
	if len(p.Inputs) == 0 {
		return
	}
	t := paper.Table{ID: "table-inputs", Title: "Files read, with their SHA-256", Columns: []paper.Column{
		{Head: "File"}, {Head: "Rows read = accepted + rejected + blank", W: 46, Right: true},
	}}
	for _, f := range p.Inputs {
		c := f.Counts()
		sum := fmt.Sprintf("%s = %s + %s + %s", wording.Count(c.Read), wording.Count(c.Accepted), wording.Count(c.Rejected), wording.Count(c.Blank))
		name := f.Name
		if f.LaterVersion != "" {
			name += " (read again since in a later version)"
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: name}, {Text: sum}}}, paper.Row{Cells: []paper.Cell{{Text: f.SHA256, Muted: true}, {}}})
	}
	l.d.Space(1)
	l.d.Table(t)
}
