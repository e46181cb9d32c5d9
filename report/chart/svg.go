package chart

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"shortfall/report/typeface"
)

// SVG writes the figure as a stand-alone SVG document in mm, with its title
// and description for readers who cannot see it. The creator stands on its first
// line; marks gives the letters of notes.
func (f *Figure) SVG(w io.Writer, creator string, marks func([]int) string) error {
	s := &svgWriter{w: bufio.NewWriter(w), colour: hex, marks: marks}
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-labelledby="t d" font-family="%s, sans-serif" data-made-by="%s">`+"\n",
		num(f.W), num(f.H), num(f.W), num(f.H), typeface.Family, escape(creator))
	return s.write(f, "")
}

// Inline writes the figure as an SVG element for an HTML page that holds
// others: ids start with the prefix, colours are custom properties of the page
// (--c-1a1a1a) that fall back to their own, marks gives the letters of notes. enter,
// where not nil, gives the address that a datum leads to, "" for none.
func (f *Figure) Inline(w io.Writer, prefix string, marks func([]int) string, enter func(id string) string) error {
	s := &svgWriter{w: bufio.NewWriter(w), prefix: prefix, marks: marks, keyed: true, enter: enter, colour: func(c Colour) string {
		h := hex(c)
		return "var(--c-" + h[1:] + "," + h + ")"
	}}
	role := "img"
	if enter != nil {
		role = "group" // an image has no links in it
	}
	s.printf(`<svg viewBox="0 0 %s %s" role="%s" aria-labelledby="%st %sd">`+"\n", num(f.W), num(f.H), role, prefix, prefix)
	return s.write(f, prefix)
}

func (s *svgWriter) write(f *Figure, prefix string) error {
	s.printf("<title id=\"%st\">%s</title>\n<desc id=\"%sd\">%s</desc>\n", prefix, escape(f.Title), prefix, escape(f.Desc))
	s.items(f.Items)
	s.printf("</svg>\n")
	return s.w.Flush() // a buffered writer keeps its first error
}

type svgWriter struct {
	w      *bufio.Writer
	prefix string // of ids
	clips  int
	keyed  bool // data can be pointed at
	marks  func([]int) string
	colour func(Colour) string
	enter  func(id string) string // where a datum leads
}

func (s *svgWriter) printf(format string, args ...any) { fmt.Fprintf(s.w, format, args...) }

func (s *svgWriter) items(items []Item) {
	for _, it := range items {
		s.draw(it)
	}
}

func (s *svgWriter) draw(it Item) {
	switch it := it.(type) {
	case Line:
		s.printf(`<line x1="%s" y1="%s" x2="%s" y2="%s"%s/>`+"\n", num(it.A.X), num(it.A.Y), num(it.B.X), num(it.B.Y), s.paint(nil, it.Pen))
	case Polyline:
		s.printf(`<polyline points="%s"%s/>`+"\n", points(it.Points), s.paint(nil, it.Pen))
	case Polygon:
		s.printf(`<polygon points="%s"%s/>`+"\n", points(it.Points), s.paint(it.Fill, it.Pen))
	case Rect:
		s.printf(`<rect x="%s" y="%s" width="%s" height="%s" rx="%s"%s/>`+"\n", num(it.Box.X), num(it.Box.Y), num(it.Box.W), num(it.Box.H), num(it.Radius), s.paint(it.Fill, it.Pen))
	case Circle:
		s.printf(`<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", num(it.Centre.X), num(it.Centre.Y), num(it.Radius), s.paint(it.Fill, it.Pen))
	case Hatch:
		for _, l := range it.lines() {
			s.draw(l)
		}
	case Text:
		s.text(it)
	case Group:
		s.group(it)
	case Key:
		s.key(it)
	}
}

// key lets a reader point at a datum, where there is a reader.
func (s *svgWriter) key(k Key) {
	to := ""
	if s.enter != nil {
		to = s.enter(k.ID)
	}
	switch {
	case !s.keyed:
		s.items(k.Items)
		return
	case to != "":
		s.printf("<a href=\"%s\">", escape(to))
	}
	s.printf("<g data-key=\"%s\"><title>%s</title>\n", escape(k.ID), escape(k.Title))
	s.items(k.Items)
	s.printf("</g>\n")
	if to != "" {
		s.printf("</a>\n")
	}
}

func (s *svgWriter) text(t Text) {
	weight := ""
	if t.Bold {
		weight = ` font-weight="bold"`
	}
	colour := s.colour(t.Colour)
	if t.Colour == Paper { // on a fill, which stays as it is where the paper is dark
		colour = hex(Paper)
	}
	// The length is that of our own type, so that another one fits its place too.
	s.printf(`<text x="%s" y="%s" font-size="%s" text-anchor="%s" textLength="%s" lengthAdjust="spacingAndGlyphs" fill="%s"%s>%s</text>`+"\n",
		num(t.At.X), num(t.At.Y), num(t.Size*typeface.MMPerPoint), [...]string{"start", "middle", "end"}[t.Anchor], num(t.Bounds().W), colour, weight, escape(t.Text))
	if len(t.Notes) > 0 && s.marks != nil {
		b := t.Bounds()
		s.text(Text{At: Point{b.X + b.W, t.At.Y}, Text: s.marks(t.Notes), Colour: t.Colour, Size: t.Size})
	}
}

func (s *svgWriter) group(g Group) {
	if g.Clip == nil {
		s.printf("<g>\n")
	} else {
		s.clips++
		s.printf(`<clipPath id="%sc%d"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`+"\n<g clip-path=\"url(#%sc%d)\">\n",
			s.prefix, s.clips, num(g.Clip.X), num(g.Clip.Y), num(g.Clip.W), num(g.Clip.H), s.prefix, s.clips)
	}
	s.items(g.Items)
	s.printf("</g>\n")
}

// num writes at most two decimals: a hundredth of a millimetre is finer than print.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func hex(c Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func points(ps []Point) string {
	parts := make([]string, len(ps))
	for i, p := range ps {
		parts[i] = num(p.X) + "," + num(p.Y)
	}
	return strings.Join(parts, " ")
}

func (s *svgWriter) paint(fill *Colour, p Pen) string {
	out := ` fill="none"`
	if fill != nil {
		out = fmt.Sprintf(` fill="%s"`, s.colour(*fill))
	}
	if p.Width == 0 {
		return out
	}
	out += fmt.Sprintf(` stroke="%s" stroke-width="%s"`, s.colour(p.Colour), num(p.Width))
	if len(p.Dash) > 0 {
		dash := make([]string, len(p.Dash))
		for i, d := range p.Dash {
			dash[i] = num(d)
		}
		out += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(dash, " "))
	}
	return out
}

func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder cannot fail
	return b.String()
}
