package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// Verdict is how one comparison came about: its reason, its readings and the checks
// it passed or did not. ok is false where nothing was compared.
func Verdict(r *results.Results, by results.By) (doc *document.Document, ok bool, err error) {
	m := newMaker(r)
	c, ok := m.comparison(by)
	if !ok {
		return nil, false, nil
	}
	s := document.Section{ID: "verdict", Title: "Clinician-designed against software-suggested: " + string(c.Verdict), Blocks: []document.Block{
		document.Para{Text: document.Words(wording.Sentence(c.Because))},
	}}
	if t := m.readingTable(c); len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, t)
	}
	if t := m.checkTable(c); len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, t)
	}
	date, err := Date(r.Provenance.Date)
	if err != nil {
		return nil, false, err
	}
	doc = &document.Document{Title: s.Title, Lang: "en-GB", Date: date, Sections: []document.Section{s}}
	return doc, true, doc.Check()
}

func (m *maker) readingTable(c *results.Comparison) document.Table {
	t := document.Table{Title: "Ways to set the two against each other, in points of expression", Columns: []document.Column{
		{Title: "Reading"}, {Title: "Difference (" + m.interval() + ")", Number: true}, {Title: "Cases it rests on", Number: true}, {Title: "Adjusted for"},
	}}
	for _, x := range c.Readings {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			{Text: wording.Capital(x.Label), Strong: x.ID == results.SameMouthReading},
			{Text: room.Points(x.Difference)},
			{Text: wording.Count(x.Contributing)},
			{Text: wording.List(x.Adjusters)},
		}})
	}
	return t
}

func (m *maker) checkTable(c *results.Comparison) document.Table {
	t := document.Table{Title: "Checks", Columns: []document.Column{
		{Title: "Check", Weight: 3}, {Title: "Difference (" + m.interval() + ")", Number: true}, {Title: "Outcome"},
	}}
	for _, x := range c.Checks {
		outcome := "does not hold"
		switch {
		case !x.Applies:
			outcome = "does not apply"
		case x.Holds:
			outcome = "holds"
		}
		if !x.Decides {
			outcome += " (does not decide)"
		}
		text := wording.Capital(x.Text)
		if x.Who != "" {
			text += " (" + x.Who + ")"
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{{Text: text}, {Text: room.Points(x.Estimate)}, {Text: outcome}}})
	}
	return t
}
