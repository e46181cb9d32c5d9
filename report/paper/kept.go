package paper

import (
	"shortfall/report/chart"
	"shortfall/report/document"
)

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
	if f := d.kept[k]; f != nil {
		return f
	}
	f := dr().Draw(k.width)
	if d.kept != nil {
		d.kept[k] = f
	}
	return f
}
