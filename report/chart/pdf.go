package chart

import (
	"github.com/go-pdf/fpdf"

	"shortfall/report/typeface"
)

// PDF draws the figure with its upper left corner at x, y of the current page,
// in a document whose unit is mm and whose fonts are registered under
// typeface.Family. The marks of its notes are those that Place was given, in order.
func (f *Figure) PDF(p *fpdf.Fpdf, x, y float64, marks []string) {
	d := pdfDrawer{p: p, dx: x, dy: y, page: Page{
		Seen:  func(Text) {},
		Keyed: func(string, Box) {},
		Marks: func([]int) string {
			next := marks[0]
			marks = marks[1:]
			return next
		},
	}}
	p.SetLineJoinStyle("round")
	d.items(f.Items)
	p.SetDashPattern(nil, 0)
}

// Place tells a page what PDF will draw at x, y and asks for the marks of notes.
func (f *Figure) Place(x, y float64, page Page) {
	pdfDrawer{dx: x, dy: y, page: page}.items(f.Items)
}

// Page is what a figure tells the page it is drawn on, and asks of it.
type Page struct {
	Seen  func(Text)               // a text and where it stands, so that a layout can be checked
	Keyed func(id string, on Box)  // the area of a datum, so that it can lead somewhere
	Marks func(notes []int) string // the letters of notes
}

// pdfDrawer draws on p, or nothing where that is nil, and tells the page in either case.
type pdfDrawer struct {
	p      *fpdf.Fpdf
	dx, dy float64
	page   Page
}

func (d pdfDrawer) items(items []Item) {
	for _, it := range items {
		d.draw(it)
	}
}

func (d pdfDrawer) draw(it Item) {
	switch it := it.(type) {
	case Line:
		d.paint(nil, it.Pen, func() { d.path([]Point{it.A, it.B}, false) })
	case Polyline:
		d.paint(nil, it.Pen, func() { d.path(it.Points, false) })
	case Polygon:
		d.paint(it.Fill, it.Pen, func() { d.path(it.Points, true) })
	case Rect:
		d.paint(it.Fill, it.Pen, func() { d.rect(it.Box, it.Radius) })
	case Circle:
		c, r := it.Centre, it.Radius
		d.paint(it.Fill, it.Pen, func() { d.rect(Box{c.X - r, c.Y - r, 2 * r, 2 * r}, r) })
	case Hatch:
		d.items(it.lines())
	case Text:
		d.text(it)
	case Group:
		d.group(it)
	case Key:
		d.items(it.Items)
		if b, ok := bounds(it.Items); ok {
			b.X, b.Y = b.X+d.dx, b.Y+d.dy
			d.page.Keyed(it.ID, b)
		}
	}
}

// paint sets colours and pen before the path is traced: PDF allows no change
// of the graphics state between the two (ISO 32000-1, 8.2, figure 9).
func (d pdfDrawer) paint(fill *Colour, pen Pen, trace func()) {
	if d.p == nil {
		return
	}
	style := ""
	if fill != nil {
		d.p.SetFillColor(int(fill.R), int(fill.G), int(fill.B))
		style = "F"
	}
	if pen.Width > 0 {
		d.p.SetDrawColor(int(pen.Colour.R), int(pen.Colour.G), int(pen.Colour.B))
		d.p.SetLineWidth(pen.Width)
		d.p.SetDashPattern(pen.Dash, 0)
		style += "D"
	}
	if style != "" {
		trace()
		d.p.DrawPath(style)
	}
}

func (d pdfDrawer) path(ps []Point, closed bool) {
	for i, q := range ps {
		if i == 0 {
			d.p.MoveTo(q.X+d.dx, q.Y+d.dy)
		} else {
			d.p.LineTo(q.X+d.dx, q.Y+d.dy)
		}
	}
	if closed {
		d.p.ClosePath()
	}
}

// arc is the distance of the control points of a cubic Bézier quarter circle
// from its ends: 4/3 (√2 - 1).
const arc = 0.5522847498307936

// rect traces a rectangle with round corners itself: the library's own leaves
// the graphics state open (fpdf v0.9.0, RoundedRect).
func (d pdfDrawer) rect(b Box, r float64) {
	x0, y0, x1, y1 := b.X+d.dx, b.Y+d.dy, b.X+b.W+d.dx, b.Y+b.H+d.dy
	k := r * (1 - arc)
	// A side of no length must not be traced: rounded to the two decimals the
	// library gives lines, it would point anywhere and sprout a spur.
	side := func(x, y float64, length float64) {
		if length > 1e-6 {
			d.p.LineTo(x, y)
		}
	}
	w, h := b.W-2*r, b.H-2*r
	d.p.MoveTo(x0+r, y0)
	side(x1-r, y0, w)
	if r > 0 {
		d.p.CurveBezierCubicTo(x1-k, y0, x1, y0+k, x1, y0+r)
	}
	side(x1, y1-r, h)
	if r > 0 {
		d.p.CurveBezierCubicTo(x1, y1-k, x1-k, y1, x1-r, y1)
	}
	side(x0+r, y1, w)
	if r > 0 {
		d.p.CurveBezierCubicTo(x0+k, y1, x0, y1-k, x0, y1-r)
	}
	side(x0, y0+r, h)
	if r > 0 {
		d.p.CurveBezierCubicTo(x0, y0+k, x0+k, y0, x0+r, y0)
	}
	d.p.ClosePath()
}

func (d pdfDrawer) text(t Text) {
	t.At.X += d.dx
	t.At.Y += d.dy
	d.set(t)
	d.page.Seen(t)
	if len(t.Notes) > 0 {
		b := t.Bounds()
		d.text(Text{At: Point{b.X + b.W - d.dx, t.At.Y - d.dy}, Text: d.page.Marks(t.Notes), Colour: t.Colour, Size: t.Size})
	}
}

// set sets a text whose place is one of the page.
func (d pdfDrawer) set(t Text) {
	if d.p == nil {
		return
	}
	weight := ""
	if t.Bold {
		weight = "B"
	}
	d.p.SetFont(typeface.Family, weight, t.Size)
	d.p.SetTextColor(int(t.Colour.R), int(t.Colour.G), int(t.Colour.B))
	d.p.Text(t.Bounds().X, t.At.Y, t.Text)
}

func (d pdfDrawer) group(g Group) {
	if g.Clip == nil || d.p == nil {
		d.items(g.Items)
		return
	}
	d.p.ClipRect(g.Clip.X+d.dx, g.Clip.Y+d.dy, g.Clip.W, g.Clip.H, false)
	d.items(g.Items)
	d.p.ClipEnd()
	// The end of a clip restores the font in the PDF but not in the writer's
	// memory; a size nothing uses makes the next SetFont speak.
	d.p.SetFont(typeface.Family, "", 1)
}
