package section

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// curveID is the exhibit that stands on the page of what it cost.
const curveID = "followup.curve"

// actionsID is the exhibit whose table stands on the same page.
const actionsID = "cycle.actions"

// exhibit finds a figure and builds it for a page without annexes: what it is
// of and how it was made are said without a way there.
func (m *maker) exhibit(id string) (document.Block, bool) {
	for _, s := range m.Results.Sections {
		for i := range s.Exhibits {
			if e := &s.Exhibits[i]; e.ID == id {
				if b, _ := room.Find(id); b != nil {
					fig, ok := b(m.Maker, e).(document.Figure)
					name, _ := m.method(e.Method)
					fig.Below = document.Quiet(strings.TrimSpace(strings.Join(e.Notes, " ") + " Of " + e.Denominator + ". Method: " + name + "."))
					return fig, ok
				}
			}
		}
	}
	return nil, false
}

// annexes are the questions in the order of the results, then methods,
// definitions, settings and provenance.
func (m *maker) annexes(paper bool) document.Section {
	built := map[string]document.Block{}
	for _, s := range m.Results.Sections {
		for i := range s.Exhibits {
			e := &s.Exhibits[i]
			b, offPaper := room.Find(e.ID)
			if b == nil || paper && offPaper || e.ID == actionsID {
				continue
			}
			if block := b(m.Maker, e); block != nil {
				built[e.ID] = block
			}
		}
	}
	a := annexer{m: m, built: built}
	out := document.Section{ID: "annexes", Title: "Annexes", Apart: true, Follow: true, Blocks: []document.Block{document.Para{
		Role: document.Minor, Text: document.Words("Printed are the rows that were judged or are drawn. Nothing is left out of the results workbook, a sheet for each table, and of the results file."),
	}}}
	for i := range m.Results.Sections {
		s := &m.Results.Sections[i]
		if s.ID == "methods" {
			continue
		}
		if d := a.section(s); len(d.Blocks) > 0 {
			out.Blocks = append(out.Blocks, d)
		}
	}
	out.Blocks = append(out.Blocks, a.methods())
	return out
}

// annexer knows which exhibits there are to point to.
type annexer struct {
	m     *maker
	built map[string]document.Block
}

func (a *annexer) section(s *results.Section) document.Section {
	out := document.Section{ID: "annex-" + s.ID, Title: s.Title}
	for i := range s.Lines {
		out.Blocks = append(out.Blocks, a.line(&s.Lines[i]))
	}
	for i := range s.Exhibits {
		if b, ok := a.built[s.Exhibits[i].ID]; ok && s.Exhibits[i].ID != curveID {
			out.Blocks = append(out.Blocks, a.below(b, &s.Exhibits[i]))
		}
	}
	return out
}

var lineRoles = map[results.Role]document.Role{
	results.Plain: document.Body, results.Caution: document.Minor, results.Item: document.Item, results.Missing: document.Body,
}

func (a *annexer) line(l *results.Line) document.Para {
	p := document.Para{Role: lineRoles[l.Role], Text: document.Noted(wording.Sentence(l.Text), room.Notes(l.Warnings)...)}
	if l.Role == results.Item {
		p.Mark = "–"
	}
	p.Text = document.Join(p.Text, a.see(l.See))
	return p
}

// see points to what is there to be pointed to; of several definitions each has its name.
func (a *annexer) see(ids []string) document.Text {
	var refs, defs []document.Text
	for _, id := range ids {
		switch {
		case a.built[id] != nil:
			refs = append(refs, document.Ref(room.Anchor(id)))
		default:
			if term, ok := a.m.term(id); ok {
				defs = append(defs, document.Link(term, "def-"+id))
			}
		}
	}
	switch {
	case len(defs) > 1:
		defs[0] = document.Join(document.Words("definitions: "), defs[0])
	case len(defs) == 1:
		defs[0] = document.Link(document.Definition, defs[0][0].To)
	}
	refs = append(refs, defs...)
	if len(refs) == 0 {
		return nil
	}
	out := document.Words(" (")
	for i, r := range refs {
		if i > 0 {
			out = document.Join(out, document.Words("; "))
		}
		out = document.Join(out, r)
	}
	return document.Join(out, document.Words(")"))
}

// below adds what an exhibit is of and how it was computed, with the way to its
// method and definition: from a number to its formula in one step.
func (a *annexer) below(b document.Block, e *results.Exhibit) document.Block {
	t := document.Quiet(strings.Join(e.Notes, " "))
	if e.Denominator != "" {
		t = document.Join(t, document.Quiet(" Of "+e.Denominator+"."))
	}
	if name, ok := a.m.method(e.Method); ok {
		t = document.Join(t, document.Quiet(" Method: "), document.Link(name, "method-"+e.Method), document.Quiet("."))
	}
	t = document.Join(t, a.see(append(slices.Clone(e.See), e.Definition)))
	if strings.TrimSpace(t.Plain()) == "" {
		return b
	}
	switch b := b.(type) {
	case document.Table:
		b.Below = document.Join(b.Below, t)
		return b
	case document.Figure:
		b.Below = t
		return b
	}
	return b
}

func (m *maker) term(id string) (string, bool) {
	for i := range m.Results.Definitions {
		if d := &m.Results.Definitions[i]; d.ID == id {
			return d.Term, true
		}
	}
	return "", false
}

func (m *maker) method(id string) (string, bool) {
	for _, x := range m.Results.Methods {
		if x.ID == id {
			return x.Name, true
		}
	}
	return "", false
}
