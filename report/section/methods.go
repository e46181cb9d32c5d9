package section

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// methods is the last annex: how numbers were made, what they mean, under which
// settings and from which files.
func (a *annexer) methods() document.Section {
	m := a.m
	s := document.Section{ID: "annex-methods", Title: "Methods"}
	for i := range m.Results.Sections {
		if m.Results.Sections[i].ID == "methods" {
			s = a.section(&m.Results.Sections[i])
		}
	}
	signs := chart.Signs(174)
	s.Blocks = append(s.Blocks, document.Figure{
		ID: "signs", Title: "Positive directions, seen from the tooth itself, so that left and right read alike", Desc: signs.Desc, Drawings: []document.Drawing{signsDrawing{}},
		Ends:  "A drawing of definitions: no case is behind it.",
		Below: document.Quiet("Crown movements. Tip and mesiodistal shift are seen from the cheek with mesial on the left, torque and buccolingual shift from the mesial side with the cheek on the left, rotation from the biting surface. A sheet that records size without direction is taken as positive and says so."),
	})
	for _, in := range []document.Section{m.methodList(), m.definitions(), m.settings(), m.provenance()} {
		if len(in.Blocks) > 0 {
			s.Blocks = append(s.Blocks, in)
		}
	}
	return s
}

// signsDrawing draws the sign convention.
type signsDrawing struct{}

func (signsDrawing) Draw(w float64) *chart.Figure { return chart.Signs(w) }

func (m *maker) methodList() document.Section {
	s := document.Section{ID: "methods-list", Title: "How each kind of number was estimated"}
	if len(m.Results.Methods) == 0 {
		return s
	}
	t := document.Table{Columns: []document.Column{{Title: "Method", Weight: 1}, {Title: "How", Weight: 3}, {Title: "Source", Weight: 2}}}
	for _, x := range m.Results.Methods {
		t.Rows = append(t.Rows, document.Row{ID: "method-" + x.ID, Cells: []document.Cell{{Text: wording.Capital(x.Name)}, {Text: wording.Sentence(x.Text)}, {Text: x.Source, Quiet: true}}})
	}
	s.Blocks = append(s.Blocks, t)
	return s
}

func (m *maker) definitions() document.Section {
	s := document.Section{ID: "definitions", Title: "Definitions"}
	t := document.Table{Columns: []document.Column{{Title: "Term", Weight: 1}, {Title: "Meaning", Weight: 3}, {Title: "Source", Weight: 2}}}
	for _, x := range m.Results.Definitions {
		t.Rows = append(t.Rows, document.Row{ID: "def-" + x.ID, Cells: []document.Cell{{Text: wording.Capital(x.Term)}, {Text: wording.Sentence(x.Formula)}, {Text: x.Source, Quiet: true}}})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, t)
	}
	return s
}

func (m *maker) settings() document.Section {
	t := document.Table{Columns: []document.Column{{Title: "Setting"}, {Title: "Value"}}}
	for _, kv := range Settings(m.Results) {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{{Text: kv[0]}, {Text: kv[1]}}})
	}
	return document.Section{ID: "settings", Title: "Settings", Blocks: []document.Block{t}}
}

// Settings words the settings of the audit, a name and a value each.
func Settings(r *results.Results) [][2]string {
	x := r.Provenance.Settings
	primary := "none"
	if x.Primary != (results.By{}) {
		primary = wording.Names{Notation: x.Notation}.Cell(x.Primary)
	}
	return [][2]string{
		{"Confidence level", wording.Level(x.Level)},
		{"Tolerance", wording.Setting(x.ToleranceMM) + " mm, " + wording.Setting(x.ToleranceDeg) + "°"},
		{"Smallest meaningful plan", wording.Setting(x.SmallestMM) + " mm, " + wording.Setting(x.SmallestDeg) + "°"},
		{"Fewest cases shown, where results are shared", strconv.Itoa(x.MinCellCases)},
		{"Fewest cases for an interval", strconv.Itoa(x.MinIntervalCases)},
		{"Fewest patients with both styles, for a verdict", strconv.Itoa(x.MinBothCases)},
		{"Largest share of outcomes missing in a style, for a verdict", wording.Level(x.MaxMissing)},
		{"Share of its aligners below which a course is cut short", wording.Level(x.MinAlignersUsed)},
		{"Margin of equivalence, points of expression", wording.Setting(x.EquivalencePoints)},
		{"Difference worth knowing, points of expression", wording.Setting(x.Worth())},
		{"Rows taken as of equal variance", map[bool]string{true: "as they are", false: "times the root of their weight"}[x.CR2Root == results.EqualVariances]},
		{"Shared outside the practice", map[bool]string{true: "yes", false: "no"}[x.Shared]},
		{"Alpha, and correction of the finer comparisons", wording.Setting(x.Alpha) + ", " + wording.Correction(x.Multiplicity)},
		{"Primary comparison", primary},
		{"Tooth notation", notationWords(x.Notation)},
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

// words lists those of the sheets beside ours, so that a colleague can check how they
// were read.
func (m *maker) words() (document.Table, bool) {
	t := document.Table{ID: "words", Title: "Words of the sheets, and as what they were read", Columns: []document.Column{{Title: "Column"}, {Title: "Word of the sheet"}, {Title: "Read as"}, {Title: "Rows", Number: true}}}
	for _, w := range m.Results.Provenance.Words {
		if w.Said == "" {
			w.Said = "words of the practice's own, not repeated"
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{room.Words(wording.Capital(w.Column)), room.Words(w.Said), room.Words(w.Means), room.Words(wording.Count(w.Rows))}})
	}
	return t, len(t.Rows) > 0
}

func (m *maker) provenance() document.Section {
	p := m.Results.Provenance
	date := p.Date
	switch {
	case date == "":
		date = "not given"
	case len(date) == len("2026-09"):
		date += ", the month of the newest record"
	}
	s := document.Section{ID: "provenance", Title: "Provenance", Blocks: []document.Block{document.Para{Text: document.Words(fmt.Sprintf(
		"Made by %s %s; results schema %s; dated %s. The same records and settings give the same report.", p.Tool, p.Version, m.Results.SchemaVersion, date))}}}
	for _, w := range m.Results.Warnings {
		s.Blocks = append(s.Blocks, document.Para{Role: document.Item, Mark: "–", Text: document.Join(document.Words(wording.Sentence(w.Text)), document.Quiet(" "+wording.Sentence(w.Remedy)))})
	}
	if len(m.Results.Scope.Practices) > 3 {
		s.Blocks = append(s.Blocks, document.Para{Text: document.Words("Practices: " + strings.Join(m.Results.Scope.Practices, ", ") + ".")})
	}
	if t, ok := m.words(); ok {
		s.Blocks = append(s.Blocks, t)
	}
	t := document.Table{ID: "inputs", Title: "Files read, with their SHA-256", Columns: []document.Column{
		{Title: "File"}, {Title: "Read", Number: true}, {Title: "Accepted", Number: true}, {Title: "Rejected", Number: true}, {Title: "Blank", Number: true}, {Title: "SHA-256", Weight: 2},
	}}
	for _, f := range p.Inputs {
		c := f.Counts()
		name := f.Name
		if f.LaterVersion != "" {
			name += " (read again since in a later version)"
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			{Text: name}, {Text: wording.Count(c.Read)}, {Text: wording.Count(c.Accepted)}, {Text: wording.Count(c.Rejected)}, {Text: wording.Count(c.Blank)}, {Text: f.SHA256, Quiet: true},
		}})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, t)
	}
	return s
}
