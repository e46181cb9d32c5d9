package document

import "strings"

// Part is one section of a document on its own. What led out of it leads nowhere: the
// words stay, and what was nothing but the way is gone. There is no section where the
// document has none of the id.
func (d *Document) Part(id string) *Document {
	out := *d
	out.Sections, out.Sheets = nil, nil
	d.Walk(func(b Block, _ int) {
		if s, ok := b.(Section); ok && s.ID == id {
			out.Sections = append(out.Sections, s)
		}
	})
	c := checker{ids: map[string]int{}}
	out.Walk(func(b Block, level int) { c.block(b, level) })
	in := func(to string) bool { return to == "" || c.ids[to] > 0 }
	for i := range out.Sections {
		out.Sections[i] = Within(out.Sections[i], in).(Section)
	}
	return &out
}

// Within copies a block without the links that lead out.
func Within(b Block, in func(string) bool) Block {
	switch b := b.(type) {
	case Section:
		blocks := make([]Block, len(b.Blocks))
		for i, x := range b.Blocks {
			blocks[i] = Within(x, in)
		}
		b.Blocks, b.To = blocks, toWithin(b.To, in)
		return b
	case Para:
		b.Text = b.Text.Within(in)
		return b
	case Table:
		return b.Within(in)
	case Figure:
		b.Sub, b.Below, b.To = b.Sub.Within(in), b.Below.Within(in), toWithin(b.To, in)
		if b.Data != nil {
			data := b.Data.Within(in)
			b.Data = &data
		}
		return b
	}
	return b
}

func toWithin(to string, in func(string) bool) string {
	if in(to) {
		return to
	}
	return ""
}

func (t Table) Within(in func(string) bool) Table {
	t.Below = t.Below.Within(in)
	rows := make([]Row, len(t.Rows))
	for i, r := range t.Rows {
		r.Group = r.Group.Within(in)
		cells := make([]Cell, len(r.Cells))
		for j, c := range r.Cells {
			c.To = toWithin(c.To, in)
			cells[j] = c
		}
		if r.Group == nil {
			r.Cells = cells
		}
		rows[i] = r
	}
	t.Rows = rows
	return t
}

func (t Text) Within(in func(string) bool) (out Text) {
	dropped := false // the span before led out and says nothing
	for _, s := range t {
		switch {
		case in(s.To):
		case s.Way():
			dropped = true
			continue
		default:
			s.To = ""
		}
		if last := len(out) - 1; dropped && last >= 0 && s.Notes == nil && out[last].Notes == nil {
			// What stood between it and its neighbours goes with it, and a bracket that
			// holds nothing else.
			switch before := out[last].Text; {
			case s.Text == between:
				continue
			case strings.HasPrefix(s.Text, ")") && before == between:
				out = out[:last]
			case strings.HasPrefix(s.Text, ")") && strings.HasSuffix(before, "("):
				out[last].Text = strings.TrimRight(strings.TrimSuffix(before, "("), " ")
				s.Text = s.Text[1:]
			}
		}
		dropped = false
		if s.Text != "" || s.Way() || s.Notes != nil {
			out = append(out, s)
		}
	}
	return out
}

// between stands between two references.
const between = "; "
