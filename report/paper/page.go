package paper

import (
	"fmt"

	"github.com/go-pdf/fpdf"

	"shortfall/report/chart"
	"shortfall/report/typeface"
)

// block is something that is not broken across pages.
type block struct {
	h     float64
	notes []int // footnotes that must stand on the same page
	draw  func(top float64)
}

// bottom of the part of the page that content may fill.
func (d *Doc) bottom() float64 { return d.size.H - Margin - footH }

// room left above the footnotes when those of a block are added.
func (d *Doc) room(more []int) float64 {
	return d.bottom() - d.notes.height(d.notes.with(more)) - d.y
}

// NewPage starts a page, unless the present one is still empty.
func (d *Doc) NewPage() {
	if d.page > 0 && d.y == Margin {
		return
	}
	d.openPage()
}

func (d *Doc) openPage() {
	d.closePage()
	d.addPage()
}

func (d *Doc) addPage() {
	d.step((*fpdf.Fpdf).AddPage)
	d.page++
	d.y, d.used = Margin, Margin
	d.notes.carry()
}

// finish closes the last page, and adds pages for footnotes still waiting.
func (d *Doc) finish() {
	d.closePage()
	for len(d.notes.over) > 0 {
		d.addPage()
		d.closePage()
	}
}

func (d *Doc) closePage() {
	if d.page == 0 {
		return
	}
	d.notes.draw(d)
	d.foot()
}

// foot draws the running foot.
func (d *Doc) foot() {
	y := d.size.H - Margin - 1
	right := fmt.Sprintf("page %d of %d", d.page, max(d.of, d.page))
	d.write(d.size.W-Margin-typeface.Width(right, TextPt, false), y, right, TextPt, false, chart.Muted)
	left := fit(d.clean(d.meta.FootLeft), d.Width()-typeface.Width(right, TextPt, false)-2*Gutter, TextPt, false)
	d.write(Margin, y, left, TextPt, false, chart.Muted)
}

// fit shortens a line to a width with an ellipsis.
func fit(s string, w, size float64, bold bool) string {
	if typeface.Width(s, size, bold) <= w {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && typeface.Width(string(r)+"…", size, bold) > w {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// Need starts a new page unless h mm are left on this one.
func (d *Doc) Need(h float64) {
	if d.page == 0 || d.room(nil) < h {
		d.NewPage()
	}
}

// place draws a block here or at the top of the next page.
func (d *Doc) place(b block) {
	if d.page == 0 || d.room(b.notes) < b.h {
		d.NewPage()
	}
	d.notes.add(b.notes)
	b.draw(d.y)
	d.y += b.h
	d.used = d.y
}

// Space leaves lines free, but not at the top of a page.
func (d *Doc) Space(lines float64) {
	if d.y > Margin {
		d.y += lines * Baseline
	}
}

// Height of a page for content, without footnotes.
func (d *Doc) Height() float64 { return d.bottom() - Margin }
