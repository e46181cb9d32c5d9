package paper

import (
	"fmt"

	"shortfall/report/chart"
)

// Title sets the document's title.
func (d *Doc) Title(s string) {
	d.Need(2 * Baseline)
	for _, line := range wrapPlain(d.clean(s), d.Width(), TitlePt, true) {
		d.place(block{h: 1.5 * Baseline, draw: func(top float64) { d.write(Margin, top+5, line, TitlePt, true, chart.Ink) }})
	}
}

// Section opens a numbered part of the report on a page of its own where less
// than room mm are left, and files it in the bookmarks.
func (d *Doc) Section(id, title string, room float64) {
	d.Space(2)
	d.Need(room)
	d.mark(id, title, 0)
	for _, line := range wrapPlain(d.clean(title), d.Width(), TitlePt, true) {
		d.place(block{h: 2 * Baseline, draw: func(top float64) { d.write(Margin, top+5, line, TitlePt, true, chart.Ink) }})
	}
}

// Heading sets a head inside a section; room is what must fit below it on the
// same page, in mm.
func (d *Doc) Heading(title string, room float64) {
	d.Space(1)
	d.Need(1.5*Baseline + room)
	d.mark("", title, 1)
	for _, line := range wrapPlain(d.clean(title), d.Span(10), HeadPt, true) {
		d.place(block{h: 1.25 * Baseline, draw: func(top float64) { d.write(Margin, top+4, line, HeadPt, true, chart.Ink) }})
	}
}

// mark files a bookmark here and, where it has an id, a target.
func (d *Doc) mark(id, label string, level int) {
	d.pdf.Bookmark(d.clean(label), level, d.y)
	if id != "" {
		d.targets[id] = Target{label, d.page, d.y}
	}
}

// number names the next figure or table and remembers where it stands.
func (d *Doc) number(kind, id string) string {
	d.numbers[kind]++
	label := fmt.Sprintf("%s\u00a0%d", kind, d.numbers[kind])
	d.targets[id] = Target{label, d.page, d.y}
	return label
}

// Ref is a linked reference to a target, "Table 3, page 9".
func (d *Doc) Ref(id string) Run {
	t, ok := d.known[id]
	if !ok {
		return Run{Text: "Table\u00a00, page\u00a00", To: id}
	}
	return Run{Text: fmt.Sprintf("%s, page\u00a0%d", t.Label, t.Page), To: id}
}

// Label of a target, "Figure 3".
func (d *Doc) Label(id string) Run {
	t, ok := d.known[id]
	if !ok {
		return Run{Text: "Table\u00a00", To: id}
	}
	return Run{Text: t.Label, To: id}
}

// link makes an area of the page lead to a target of the pass before.
func (d *Doc) link(x, base, w float64, to string) {
	t, ok := d.known[to]
	if !ok {
		return
	}
	id := d.pdf.AddLink()
	d.pdf.SetLink(id, t.y, t.Page)
	d.pdf.Link(x, base-baselineIn, w, Baseline, id)
}

// ParaHeight is the height of a paragraph in mm.
func (d *Doc) ParaHeight(cols int, runs ...Run) float64 {
	return float64(len(wrap(d.cleanRuns(runs), d.Span(cols), TextPt))) * Baseline
}

// Subtitle sets a line of the second size.
func (d *Doc) Subtitle(s string) {
	for _, line := range wrapPlain(d.clean(s), d.Width(), HeadPt, false) {
		d.place(block{h: 1.2 * Baseline, draw: func(top float64) { d.write(Margin, top+4, line, HeadPt, false, chart.Ink) }})
	}
}
