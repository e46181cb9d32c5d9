package paper

import (
	"shortfall/report/chart"
	"shortfall/report/document"
)

// kept is what the passes of a layout share. The zero value keeps nothing.
type kept struct {
	figures map[figureKey]*chart.Figure
	cells   map[cellKey][][]Run
	heads   map[headKey][]string
}

func newKept() kept {
	return kept{map[figureKey]*chart.Figure{}, map[cellKey][][]Run{}, map[headKey][]string{}}
}

// cellKey is a cell of a table without marks, and how wide it is; its lines are not changed.
type cellKey struct {
	run   lone
	width float64
}

// lone is a run that can be compared: one without marks.
type lone struct {
	text, to    string
	bold, muted bool
}

func (d *Doc) cellLines(runs []Run, w float64) [][]Run {
	if d.kept.cells == nil || len(runs) != 1 || len(runs[0].marks) > 0 {
		return wrap(runs, w, TextPt)
	}
	k := cellKey{lone{runs[0].Text, runs[0].To, runs[0].Bold, runs[0].Muted}, w}
	lines, ok := d.kept.cells[k]
	if !ok {
		lines = wrap(runs, w, TextPt)
		d.kept.cells[k] = lines
	}
	return lines
}

// headKey is the text of a head or a caption.
type headKey struct {
	text        string
	width, size float64
}

func (d *Doc) balanced(s string, w, size float64) []string {
	k := headKey{s, w, size}
	lines, ok := d.kept.heads[k]
	if !ok {
		lines = balanced(s, w, size)
		if d.kept.heads != nil {
			d.kept.heads[k] = lines
		}
	}
	return lines
}

// figureKey names what a drawing of a document gives at a width, pressed so hard: all of
// it, or the parts from..to-1. A figure is asked for its height several times a pass, and
// there are two passes or more: drawing it anew was half the time of laying a report.
type figureKey struct {
	of       *document.Drawing
	width    float64
	tight    int
	from, to int
}

// whole is all of dr, which is the drawing as high as this pass allows.
func (d *Doc) whole(of *document.Drawing, dr document.Drawing) *chart.Figure {
	return d.asDrawn(figureKey{of, d.Width(), d.tight, 0, 0}, func() document.Drawing { return dr })
}

// part is the parts from..to-1 of v, which is the drawing as high as this pass allows.
func (d *Doc) part(of *document.Drawing, v document.Divisible, from, to int) *chart.Figure {
	return d.asDrawn(figureKey{of, d.Width(), d.tight, from, to}, func() document.Drawing { return v.Part(from, to) })
}

func (d *Doc) asDrawn(k figureKey, dr func() document.Drawing) *chart.Figure {
	if f := d.kept.figures[k]; f != nil {
		return f
	}
	f := dr().Draw(k.width)
	if d.kept.figures != nil {
		d.kept.figures[k] = f
	}
	return f
}
