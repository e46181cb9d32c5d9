package web

import (
	"fmt"
	"strings"

	"shortfall/report/document"
)

// drawAt is the width in mm a figure is drawn at; the page scales it.
const drawAt = 174

func (p *page) figure(f document.Figure) {
	label := p.labels[f.ID]
	p.printf("<figure%s>\n<figcaption><strong>%s</strong>", id(f.ID), esc(f.Title))
	if sub := p.text(f.Sub); label != "" || sub != "" {
		dot := ""
		if label != "" && sub != "" {
			dot = " · "
		}
		p.printf("<br><span class=\"quiet\">%s%s%s</span>", esc(label), dot, sub)
	}
	if f.To != "" {
		p.printf(" <span class=\"quiet\">(<a href=\"#%s\">%s</a>)</span>", esc(f.To), esc(p.labels[f.To]))
	}
	p.printf("</figcaption>\n")
	for _, d := range f.Drawings {
		p.figures++
		fig := d.Draw(drawAt)
		if fig.Title == "" {
			fig.Title = f.Title
		}
		if fig.Desc == "" {
			fig.Desc = f.Desc
		}
		p.printf("<div class=\"draw\" tabindex=\"0\" role=\"region\" aria-label=\"%s\">\n", esc(strings.TrimSpace(label+" drawing "+fmt.Sprint(p.figures))))
		_ = fig.Inline(p.w, fmt.Sprintf("f%d-", p.figures), func(at []int) string { return p.drawn(f.Notes, at) }, p.entering(f.ID)) // p.w keeps its first error
		p.printf("</div>\n")
	}
	if f.Ends != "" && p.enter != nil {
		p.printf("<p class=\"below\">%s</p>\n", esc(f.Ends))
	}
	if f.Data != nil {
		p.printf("<details><summary>The numbers behind %s</summary>\n", esc(strings.TrimSpace(orThis(label))))
		p.table(*f.Data)
		p.printf("</details>\n")
	}
	if len(f.Below) > 0 {
		p.printf("<p class=\"below\">%s</p>\n", p.text(f.Below))
	}
	p.printf("</figure>\n")
}

func orThis(label string) string {
	if label == "" {
		return "this figure"
	}
	return label
}

// fillClass marks a table that is to be filled in by hand.
func fillClass(fill bool) string {
	if fill {
		return ` class="fill"`
	}
	return ""
}

// table writes a table; the first cell of a row is its head, and the rows below
// a group head are a body of their own.
func (p *page) table(t document.Table) {
	p.figures++
	caption := fmt.Sprintf("cap%d", p.figures)
	p.printf("<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-labelledby=\"%s\">\n<table%s%s>\n<caption id=\"%s\"%s><strong>%s</strong>", caption, id(t.ID), fillClass(t.ToFill), caption, unseen(t.Title == ""), esc(orTable(t)))
	if l := p.labels[t.ID]; l != "" {
		p.printf(" <span class=\"quiet\">%s</span>", esc(l))
	}
	p.printf("</caption>\n<thead><tr>")
	for _, c := range t.Columns {
		if c.Title == "" {
			p.printf("<td></td>")
			continue
		}
		p.printf("<th scope=\"col\"%s>%s</th>", numberClass(c.Number), esc(c.Title))
	}
	p.printf("</tr></thead>\n")
	open := false
	for _, r := range t.Rows {
		if r.Group != nil || !open {
			if open {
				p.printf("</tbody>\n")
			}
			p.printf("<tbody>\n")
			open = true
		}
		p.row(t, r)
	}
	p.printf("</tbody>\n</table>\n</div>\n")
	if len(t.Below) > 0 {
		p.printf("<p class=\"below\">%s</p>\n", p.text(t.Below))
	}
}

// unseen hides what a column head says again from those who see it.
func unseen(hide bool) string {
	if hide {
		return ` class="said"`
	}
	return ""
}

// orTable calls a table without a title by its first column.
func orTable(t document.Table) string {
	if t.Title == "" {
		return t.Columns[0].Title
	}
	return t.Title
}

func numberClass(number bool) string {
	if number {
		return ` class="n"`
	}
	return ""
}

func (p *page) row(t document.Table, r document.Row) {
	if r.Group != nil {
		p.printf("<tr%s><th scope=\"rowgroup\" class=\"group\" colspan=\"%d\">%s</th></tr>\n", id(r.ID), len(t.Columns), p.text(r.Group))
		return
	}
	p.printf("<tr%s>", id(r.ID))
	for i, c := range r.Cells {
		words := esc(c.Text)
		switch {
		case c.Strong:
			words = "<strong>" + words + "</strong>"
		case c.Quiet:
			words = `<span class="quiet">` + words + "</span>"
		}
		if c.To != "" {
			words = `<a href="#` + esc(c.To) + `">` + words + "</a>"
		}
		words += p.marks(c.Notes)
		about := numberClass(t.Columns[i].Number) + id(c.ID)
		if c.Datum != "" {
			about += ` data-of="` + esc(c.Datum) + `"`
		}
		if i == 0 && c.Text != "" {
			p.printf("<th scope=\"row\"%s>%s</th>", about, words)
			continue
		}
		p.printf("<td%s>%s</td>", about, words)
	}
	p.printf("</tr>\n")
}
