package document

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// Labels numbers figures and tables in order of reading, "Figure 3", and gives
// sections their titles, by id.
func (d *Document) Labels() map[string]string {
	out := map[string]string{}
	figures, tables := 0, 0
	d.Walk(func(b Block, _ int) {
		switch b := b.(type) {
		case Section:
			if b.ID != "" {
				out[b.ID] = b.Title
			}
		case Figure:
			if b.ID != "" {
				figures++
				out[b.ID] = fmt.Sprintf("Figure\u00a0%d", figures)
			}
		case Table:
			if b.ID != "" {
				tables++
				out[b.ID] = fmt.Sprintf("Table\u00a0%d", tables)
			}
			for _, r := range b.Rows {
				if r.ID != "" {
					out[r.ID] = out[b.ID]
				}
				for _, c := range r.Cells {
					if c.ID != "" {
						out[c.ID] = out[b.ID]
					}
				}
			}
		}
	})
	return out
}

// Check finds what would make a document unreadable: an id used twice, a link
// that leads nowhere, a figure without title or description, a row that does
// not fit its table, a table of nothing but dashes. Every problem is named.
func (d *Document) Check() error {
	c := checker{ids: map[string]int{}}
	if d.Title == "" || d.Lang == "" {
		c.fail("document: title and language are needed")
	}
	d.Walk(func(b Block, level int) { c.block(b, level) })
	c.sheets(d.Sheets)
	for _, id := range slices.Sorted(maps.Keys(c.ids)) {
		if n := c.ids[id]; n > 1 {
			c.fail("id %q is used %d times", id, n)
		}
	}
	for _, to := range c.links {
		if c.ids[to] == 0 {
			c.fail("a link leads to %q, which is not in the document", to)
		}
	}
	return errors.Join(c.found...)
}

type checker struct {
	ids   map[string]int
	links []string
	found []error
}

func (c *checker) fail(format string, args ...any) {
	c.found = append(c.found, fmt.Errorf(format, args...))
}

func (c *checker) id(s string) {
	if s != "" {
		c.ids[s]++
	}
}

func (c *checker) to(id string) {
	if id != "" {
		c.links = append(c.links, id)
	}
}

func (c *checker) text(t Text) {
	for _, s := range t {
		c.to(s.To)
	}
}

func (c *checker) block(b Block, level int) {
	switch b := b.(type) {
	case Section:
		c.id(b.ID)
		c.to(b.To)
		if b.Title == "" {
			c.fail("section %q at level %d has no title", b.ID, level)
		}
	case Para:
		c.text(b.Text)
		if strings.TrimSpace(b.Text.Plain()) == "" {
			c.fail("an empty paragraph")
		}
	case Figure:
		c.id(b.ID)
		c.to(b.To)
		c.text(b.Sub)
		c.text(b.Below)
		if b.Title == "" || b.Desc == "" || len(b.Drawings) == 0 {
			c.fail("figure %q needs a title, a description and a drawing", b.ID)
		}
		if b.Data != nil {
			c.table(*b.Data)
		}
	case Table:
		c.table(b)
	}
}

func (c *checker) table(t Table) {
	c.id(t.ID)
	c.text(t.Below)
	if len(t.Columns) == 0 || len(t.Rows) == 0 {
		c.fail("table %q needs columns and rows", t.ID)
	}
	something := t.ToFill
	for i, r := range t.Rows {
		c.id(r.ID)
		c.text(r.Group)
		if r.Group == nil && len(r.Cells) != len(t.Columns) {
			c.fail("table %q, row %d: %d cells for %d columns", t.ID, i+1, len(r.Cells), len(t.Columns))
		}
		for k, x := range r.Cells {
			c.id(x.ID)
			c.to(x.To)
			something = something || k > 0 && !Nothing(x.Text) || len(t.Columns) == 1
		}
	}
	if !something {
		c.fail("table %q (%s) says nothing: every cell is empty", t.ID, t.Title)
	}
}

// sheets must be told apart by name, as workbooks do, and hold only what a cell can.
func (c *checker) sheets(all []Sheet) {
	names := map[string]bool{}
	for _, s := range all {
		name := strings.ToLower(s.Name)
		if s.Name == "" || utf8.RuneCountInString(s.Name) > 31 || strings.ContainsAny(s.Name, `:\/?*[]`) || names[name] {
			c.fail("sheet %q needs a name of its own, of 31 characters at most and without : \\ / ? * [ ]", s.Name)
		}
		names[name] = true
		for i, r := range s.Rows {
			if len(r) != len(s.Columns) {
				c.fail("sheet %q, row %d: %d cells for %d columns", s.Name, i+1, len(r), len(s.Columns))
			}
			for _, v := range r {
				switch v.(type) {
				case nil, string, int, float64:
				default:
					c.fail("sheet %q, row %d: a cell cannot hold a %T", s.Name, i+1, v)
				}
			}
		}
	}
}

// Nothing is true of a cell that shows no value: empty, a dash, "0 v 91"
// without a first arm.
func Nothing(s string) bool {
	s = strings.TrimSpace(s)
	return s == "" || s == "–" || s == "—" || s == "-" || strings.HasPrefix(s, "0 v ") || strings.HasSuffix(s, " v 0")
}
