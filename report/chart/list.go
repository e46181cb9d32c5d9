package chart

import (
	"math"

	"shortfall/report/typeface"
)

// TextSize of all lettering in a figure, in points: that of the text around it.
const TextSize = 9

// RowHeight of one line of lettering in mm: the baseline distance of the page.
const RowHeight = 4.5

// Figure is a display list with its size in mm. The origin is the upper left
// corner; y grows downwards.
type Figure struct {
	Title string // for readers of the SVG; the page prints its own caption
	Desc  string // what there is to see, in words
	W, H  float64
	Items []Item
}

// Drawing is a figure, or a part of one, that can be drawn at any width.
type Drawing interface {
	// Draw gives the display list for a width in mm.
	Draw(width float64) *Figure
}

// Divisible is a drawing of like parts, such as rows over one scale, that may
// be broken between two of them.
type Divisible interface {
	Drawing
	Parts() int
	// Part gives the parts from..to-1 on the scale of all.
	Part(from, to int) Drawing
}

// Tightener is a drawing that can do with less height: the higher the level,
// the less, down to what can still be read.
type Tightener interface {
	Drawing
	Tight(level int) Drawing
}

// Fitter is a drawing of rows that can leave the least telling ones out, and says so.
type Fitter interface {
	Drawing
	// Fit leaves out what does not fit into a height, down to the rows that Least has.
	Fit(height float64) Drawing
	Least() Drawing
}

// Item is one element of a display list.
type Item interface{ item() }

// Point in mm.
type Point struct{ X, Y float64 }

// Box is a rectangle in mm.
type Box struct{ X, Y, W, H float64 }

// Pen says how an outline is drawn; a zero width draws none. Dash lists the
// lengths of strokes and gaps in mm.
type Pen struct {
	Colour Colour
	Width  float64
	Dash   []float64
}

// Line from A to B.
type Line struct {
	A, B Point
	Pen  Pen
}

// Polyline through points.
type Polyline struct {
	Points []Point
	Pen    Pen
}

// Polygon is closed; Fill nil leaves it empty.
type Polygon struct {
	Points []Point
	Fill   *Colour
	Pen    Pen
}

// Rect with corners rounded by Radius.
type Rect struct {
	Box    Box
	Radius float64
	Fill   *Colour
	Pen    Pen
}

// Circle about Centre.
type Circle struct {
	Centre Point
	Radius float64
	Fill   *Colour
	Pen    Pen
}

// Anchor says which end of a text its point is.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text on a baseline. Size in points.
type Text struct {
	At     Point // on the baseline
	Text   string
	Anchor Anchor
	Bold   bool
	Colour Colour
	Size   float64
	// Notes count into the notes of the figure; their marks hang behind the text.
	Notes []int
}

// Hatch fills a box with slanted lines, Gap mm apart.
type Hatch struct {
	Box Box
	Gap float64
	Pen Pen
}

// Group holds items that belong together; Clip, where set, hides what leaves it.
type Group struct {
	Clip  *Box
	Items []Item
}

// Key holds the items of one datum, so that a reader can point at it: ID is
// stable ("tooth 14"), Title says it in words.
type Key struct {
	ID, Title string
	Items     []Item
}

func (Key) item()      {}
func (Line) item()     {}
func (Polyline) item() {}
func (Polygon) item()  {}
func (Rect) item()     {}
func (Circle) item()   {}
func (Text) item()     {}
func (Hatch) item()    {}
func (Group) item()    {}

// add appends items.
func (f *Figure) add(items ...Item) { f.Items = append(f.Items, items...) }

// text adds lettering in the standard size and gives its width.
func (f *Figure) text(x, y float64, s string, a Anchor, bold bool) float64 {
	return f.ink(x, y, s, a, bold, Ink)
}

func (f *Figure) ink(x, y float64, s string, a Anchor, bold bool, c Colour) float64 {
	if s == "" {
		return 0
	}
	f.add(Text{At: Point{x, y}, Text: s, Anchor: a, Bold: bold, Colour: c, Size: TextSize})
	return width(s, bold)
}

func (f *Figure) line(x1, y1, x2, y2 float64, p Pen) { f.add(Line{Point{x1, y1}, Point{x2, y2}, p}) }

// sized adds lettering in a size of its own.
func (f *Figure) sized(x, y float64, s string, a Anchor, bold bool, c Colour, pt float64) {
	if s != "" {
		f.add(Text{At: Point{x, y}, Text: s, Anchor: a, Bold: bold, Colour: c, Size: pt})
	}
}

// key gathers what draw adds under one key.
func (f *Figure) key(id, title string, draw func(*Figure)) {
	in := &Figure{}
	draw(in)
	f.add(Key{id, title, in.Items})
}

// maybeKey is key where there is an id and something to point at.
func (f *Figure) maybeKey(id, title string, draw func(*Figure)) {
	if id == "" || title == "" {
		draw(f)
		return
	}
	f.key(id, title, draw)
}

// Texts lists every text of the figure, those in groups too.
func (f *Figure) Texts() []Text { return texts(f.Items) }

func texts(items []Item) (out []Text) {
	for _, it := range items {
		switch it := it.(type) {
		case Text:
			out = append(out, it)
		case Group:
			out = append(out, texts(it.Items)...)
		case Key:
			out = append(out, texts(it.Items)...)
		}
	}
	return out
}

func width(s string, bold bool) float64 { return typeface.Width(s, TextSize, bold) }

// Bounds of the text in mm: what it covers on the page.
func (t Text) Bounds() Box {
	w := typeface.Width(t.Text, t.Size, t.Bold)
	x := t.At.X
	switch t.Anchor {
	case Middle:
		x -= w / 2
	case End:
		x -= w
	}
	em := t.Size * typeface.MMPerPoint
	return Box{x, t.At.Y - typeface.Ascent*em, w, (typeface.Ascent + typeface.Descent) * em}
}

// bounds is the area that items cover, without the width of their lines; ok is false
// where they cover none.
func bounds(items []Item) (area Box, ok bool) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	cover := func(b Box) {
		x0, y0, x1, y1 = min(x0, b.X), min(y0, b.Y), max(x1, b.X+b.W), max(y1, b.Y+b.H)
	}
	points := func(ps ...Point) {
		for _, p := range ps {
			cover(Box{p.X, p.Y, 0, 0})
		}
	}
	for _, it := range items {
		switch it := it.(type) {
		case Line:
			points(it.A, it.B)
		case Polyline:
			points(it.Points...)
		case Polygon:
			points(it.Points...)
		case Rect:
			cover(it.Box)
		case Circle:
			cover(Box{it.Centre.X - it.Radius, it.Centre.Y - it.Radius, 2 * it.Radius, 2 * it.Radius})
		case Hatch:
			cover(it.Box)
		case Text:
			cover(it.Bounds())
		case Group:
			if b, ok := bounds(it.Items); ok {
				cover(b)
			}
		case Key:
			if b, ok := bounds(it.Items); ok {
				cover(b)
			}
		}
	}
	return Box{x0, y0, x1 - x0, y1 - y0}, x1 >= x0
}
