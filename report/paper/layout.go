package paper

import (
	"strings"

	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/typeface"
)

// Layout sets a document on pages.
func Layout(size Size, doc *document.Document) (*Doc, error) {
	if err := doc.Check(); err != nil {
		return nil, err
	}
	meta := Meta{
		Title: doc.Title, Subject: doc.Subject, Author: doc.Author, Creator: doc.Creator,
		Lang: doc.Lang, Date: doc.Date, FootLeft: doc.Foot,
	}
	labels, shared := doc.Labels(), newKept()
	levels := map[string]int{} // by the id of a section that wants one page
	for again := 0; ; again++ {
		d, err := Compose(size, meta, func(d *Doc) {
			d.labels, d.levels, d.spilt, d.kept = labels, levels, nil, shared
			for _, s := range doc.Sections {
				d.Space(1.5)
				d.section(s, 1)
			}
		})
		if err != nil || len(d.spilt) == 0 || again > 2*mostTight {
			return d, err
		}
		for _, id := range d.spilt {
			if levels[id]++; levels[id] > mostTight {
				levels[id] = loose
			}
		}
	}
}

// mostTight is how often a section that wants one page is pressed further; one that
// takes more all the same is loose, since pressing would only empty its last page.
const mostTight, loose = 6, -1

// pressed is a drawing at the height this pass allows.
func (d *Doc) pressed(dr document.Drawing) document.Drawing {
	if t, ok := dr.(chart.Tightener); ok && d.tight > 0 {
		return t.Tight(d.tight)
	}
	return dr
}

// tightToFit is how hard a figure must be pressed to stand on what is left of the
// page; 0 where it stands as it is, and where nothing helps.
func (d *Doc) tightToFit(f document.Figure) int {
	ids := d.register(f.Notes)
	defer func(before int) { d.tight = before }(d.tight)
	for d.tight = 0; d.tight <= mostTight; d.tight++ {
		h, due := d.captionAbove(f)+d.captionBelow(f), []int(nil)
		for i := range f.Drawings {
			fig := d.whole(&f.Drawings[i], d.pressed(f.Drawings[i]))
			h, due = h+fig.H+figureGap, append(due, notesOf(fig, ids)...)
		}
		if h <= d.room(due) {
			return d.tight
		}
	}
	return 0
}

func (d *Doc) blocks(bs []document.Block, level int) {
	for i, b := range bs {
		if t, ok := b.(document.Table); ok && i > 0 {
			if t, ok = d.ifRoom(bs[i-1], t); !ok || t.IfRoom && i+1 < len(bs) && d.fitsToo(bs[i+1]) {
				continue
			}
			b = t
		}
		if i > 0 {
			d.Space(d.spaceBefore(bs[i-1], b))
		}
		switch b := b.(type) {
		case document.Section:
			d.section(b, level)
		case document.Para:
			d.paragraph(b)
		case document.Table:
			d.table(b, level)
		case document.Figure:
			d.figure(b, level)
		}
	}
}

// spaceBefore is the white space between two blocks, in lines.
func (d *Doc) spaceBefore(before, b document.Block) float64 {
	lines := spaceBetween(before, b)
	if d.compact {
		lines *= 0.6
		if d.single {
			lines *= 1 - 0.2*float64(min(d.tight, 4))
		}
	}
	return lines
}

func spaceBetween(before, b document.Block) float64 {
	switch b := b.(type) {
	case document.Section:
		return 1.25
	case document.Table, document.Figure:
		return 1
	case document.Para:
		if p, ok := before.(document.Para); ok && p.Role == document.Item && b.Role == document.Item {
			return 0.15
		}
		if _, ok := before.(document.Para); !ok {
			return 0.75
		}
	}
	return 0.5
}

// head sizes by level; a level beyond has the last.
var heads = []struct{ size, height float64 }{{TitlePt, 6.9}, {HeadPt, 5.6}, {TextPt, Baseline}}

func (d *Doc) section(s document.Section, level int) {
	h := heads[min(level, len(heads))-1]
	follows := s.Follow && d.page > 0 && d.y > Margin && d.roomToFollow(s)
	if s.Apart && !follows {
		d.NewPage()
	}
	if follows {
		d.Space(1.5)
	}
	lines := d.balanced(d.clean(s.Title), d.Width(), h.size)
	need := float64(len(lines)) * h.height
	if len(s.Blocks) > 0 {
		need += Baseline + d.least(s.Blocks[0])
	}
	d.Need(min(need, d.Height()))
	for i, text := range s.Over {
		for _, line := range wrap([]Run{{Text: d.clean(text), Muted: true}}, d.Width(), TextPt) {
			to := ""
			if i == len(s.Over)-1 {
				to = s.To
			}
			d.place(block{h: Baseline, draw: func(top float64) { d.leadingLine(top, line, to) }})
		}
		if i == len(s.Over)-1 {
			d.y += 0.35 * Baseline
		}
	}
	d.mark(s.ID, s.Title, level-1)
	for _, line := range lines {
		d.place(block{h: h.height, draw: func(top float64) {
			d.write(Margin, top+0.72*h.height, line, h.size, true, chart.Ink)
		}})
	}
	if level < len(heads) {
		d.y += 0.4 * Baseline
	}
	before, page := d.compact, d.page
	d.compact = before || s.Compact
	single := s.Single && d.levels[s.ID] != loose
	if single {
		d.single, d.tight = true, d.levels[s.ID]
	}
	d.blocks(s.Blocks, level+1)
	d.compact = before
	if single {
		d.single, d.tight = false, 0
		if d.page > page {
			d.spilt = append(d.spilt, s.ID)
		}
	}
}

// followRoom is the share of a page that, left, a section always begins on; with
// less, a section that would have a page of its own begins where all of its text up
// to the first figure finds room, so that no quarter of a page is left empty.
const followRoom = 0.2

func (d *Doc) roomToFollow(s document.Section) bool {
	room := d.room(nil)
	return room > followRoom*d.Height() || s.Single && room > d.opening(s)
}

// opening is the height of a section up to its first figure or table.
func (d *Doc) opening(s document.Section) float64 {
	h := 1.9*Baseline + heads[0].height*float64(len(d.balanced(d.clean(s.Title), d.Width(), heads[0].size)))
	defer func(before bool) { d.compact = before }(d.compact)
	d.compact = s.Compact
	for i, b := range s.Blocks {
		p, ok := b.(document.Para)
		if !ok {
			return h
		}
		if i > 0 {
			h += d.spaceBefore(s.Blocks[i-1], b) * Baseline
		}
		runs, _ := d.runs(p.Text)
		indent := 0.0
		if p.Role == document.Item {
			indent = 6
		}
		h += float64(len(wrap(runs, d.measure()-indent, TextPt))) * Baseline
	}
	return h
}

// least is the height a block needs at the foot of a page to begin there.
func (d *Doc) least(b document.Block) float64 {
	switch b := b.(type) {
	case document.Section:
		if len(b.Blocks) > 0 {
			return 1.5*Baseline + d.least(b.Blocks[0])
		}
		return 1.5 * Baseline
	case document.Table:
		return d.tableLeast(b)
	case document.Figure:
		return d.beginning(b) + d.belowWhole(b)
	case document.Para:
		return d.paragraphLeast(b)
	}
	return 2 * Baseline
}

// paragraphLeast is the height of the lines of a paragraph that stand together where it
// begins, with the notes due there.
func (d *Doc) paragraphLeast(p document.Para) float64 {
	runs, ids := d.runs(p.Text)
	w, lead := d.measure(), d.lead
	switch p.Role {
	case document.Item:
		w -= 6
	case document.Minor, document.Caution:
		lead = Dense
	}
	lines := wrap(runs, w, TextPt)
	n := together(0, len(lines))
	var due []int
	for i := range n {
		var here []int
		here, ids = marked(lines[i], ids, i == len(lines)-1)
		due = append(due, here...)
	}
	return float64(n)*lead + d.more(due)
}

// runs turns running text into what a line is made of, and registers its notes.
func (d *Doc) runs(t document.Text) (out []Run, ids []int) {
	for _, s := range t {
		text := d.clean(s.Text)
		if text == "" && s.To != "" {
			text = d.refText(s.To)
		}
		if text != "" {
			out = append(out, Run{Text: text, Bold: s.Strong, Muted: s.Quiet, To: s.To})
		}
		if marks := d.register(s.Notes); len(marks) > 0 {
			out = append(out, Run{marks: marks})
			ids = append(ids, marks...)
		}
	}
	return out, ids
}

func (d *Doc) register(notes []document.Note) (ids []int) {
	for _, n := range notes {
		ids = append(ids, d.Note(n.Text))
	}
	return ids
}

// refText is a label with its page, which the pass before has found.
func (d *Doc) refText(id string) string {
	label := strings.ReplaceAll(d.labels[id], " ", "\u00a0") + ",\u00a0page\u00a0" // one link on one line
	if t, ok := d.known[id]; ok {
		return label + itoa(t.Page)
	}
	return label + "0"
}

// measure is the width of running text: lines stay under some 90 characters.
func (d *Doc) measure() float64 {
	if d.compact {
		return d.Width()
	}
	return d.Span(11)
}

func (d *Doc) paragraph(p document.Para) {
	runs, ids := d.runs(p.Text)
	before := d.lead
	if d.single && d.tight > 2 {
		d.lead = Dense
	}
	switch p.Role {
	case document.Lead:
		d.leadLine(runs, ids)
		d.lead = before
		return
	case document.Minor:
		d.lead = Dense
		for i := range runs {
			runs[i].Muted = true
		}
	case document.Caution:
		d.lead = Dense
		d.placed("", 0, d.Width(), ids, runs)
		d.lead = before
		return
	case document.Item:
		if d.single && d.tight > 1 {
			d.lead = Dense
		}
		d.placed(p.Mark, 6, d.measure()-6, ids, runs)
		d.lead = before
		return
	}
	d.placed("", 0, d.measure(), ids, runs)
	d.lead = before
}

// placed sets a paragraph whose runs are clean already.
func (d *Doc) placed(mark string, dx, w float64, ids []int, runs []Run) {
	d.indented(mark, dx, w, ids, runs)
}

func (d *Doc) leadLine(runs []Run, ids []int) {
	for _, line := range wrap(runs, d.Width(), HeadPt) {
		due, later := marked(line, ids, false)
		ids = later
		d.place(block{h: 1.2 * Baseline, notes: due, draw: func(top float64) { d.drawRuns(Margin, top+4, line, HeadPt) }})
	}
}

// underline marks a link as one.
func (d *Doc) underline(x, base, w float64) {
	d.line(x, base+0.6, x+w, 0.15, chart.Muted)
}

// lineWidth of runs in mm.
func lineWidth(runs []Run, size float64) float64 {
	sum := 0.0
	for _, r := range runs {
		sum += r.width(size)
	}
	return sum
}

func textWidth(s string, bold bool) float64 { return typeface.Width(s, TextPt, bold) }
