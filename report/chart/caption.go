package chart

import "shortfall/report/typeface"

// Caption is what stands about a figure that is seen without its page.
type Caption struct {
	Title      string
	Sub, Below []string // paragraphs, quieter than the title
	Notes      []string // each with its letter in front
	Foot       string   // where it comes from, apart from what is said of it
}

const (
	captionPad   = 6.0 // mm of white about a captioned figure
	captionTitle = 12  // points
	captionLead  = 3.9 // mm from line to line of what stands below
)

// Captioned sets drawings of width w, one above the other, under their title
// and above their notes, on white, as one figure.
func Captioned(c Caption, w float64, figs ...*Figure) *Figure {
	body := &Figure{W: w}
	const em = float64(captionTitle) / TextSize
	for _, line := range wrapWords(typeface.Whole(c.Title), w/em, true) {
		body.sized(0, body.H+4.2, line, Start, true, Ink, captionTitle)
		body.H += 5.6
	}
	body.paragraphs(c.Sub, RowHeight, Muted)
	for _, f := range figs {
		body.H += 2
		body.add(shift(f.Items, 0, body.H)...)
		body.H += f.H
	}
	body.H++
	body.paragraphs(c.Below, captionLead, Muted)
	body.paragraphs(c.Notes, captionLead, Ink)
	body.H += 1.5
	body.paragraphs([]string{c.Foot}, captionLead, Muted)
	white := Paper
	out := &Figure{Title: c.Title, W: w + 2*captionPad, H: body.H + 2*captionPad}
	out.add(Rect{Box{0, 0, out.W, out.H}, 0, &white, Pen{}})
	out.add(shift(body.Items, captionPad, captionPad)...)
	return out
}

// paragraphs adds text at the foot of a figure, lead mm from line to line.
func (f *Figure) paragraphs(texts []string, lead float64, c Colour) {
	for _, s := range texts {
		for _, line := range wrapWords(typeface.Whole(s), f.W, false) {
			f.ink(0, f.H+3.2, line, Start, false, c)
			f.H += lead
		}
	}
}
