// Package paper lays text, tables and figures out on pages: A4 and Letter from
// one layout with margins of 18 mm, a 12-column grid, a baseline of 4.5 mm
// (3.8 mm in footnotes and what is set dense), three sizes and two weights of
// one typeface.
//
// Place in the pipeline: report says what comes in which order, paper places
// it. It knows nothing of audits. A document is composed in passes: the first
// finds out on which page everything lands, the next can then print "page 4 of
// 9" and references to pages before they are reached.
//
// What goes on a page is recorded box by box, so that a test can prove that no
// text overlaps another or leaves the margins.
package paper

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"github.com/go-pdf/fpdf"

	"shortfall/report/chart"
	"shortfall/report/typeface"
)

// Size of the sheet in mm.
type Size struct {
	Name string
	W, H float64
}

// The two sheets: ISO 216 A4 and ANSI/ASME Y14.1 A (Letter).
var (
	A4     = Size{"A4", 210, 297}
	Letter = Size{"Letter", 215.9, 279.4}
)

// The measures of the page in mm, and the three sizes of type in points.
const (
	Margin   = 18.0
	Baseline = 4.5
	Dense    = 3.8 // leading of footnotes, tables of numbers and definitions
	Gutter   = 4.0
	footH    = 1.75 * Baseline // the running foot and the space above it

	TextPt  = 9.0
	HeadPt  = 11.0
	TitlePt = 16.0
)

// Meta is what the document says of itself.
type Meta struct {
	Title, Subject, Author, Creator, Lang string
	Date                                  time.Time // creation and modification; never the clock
	FootLeft                              string    // running foot; the right side is "page n of N"
}

// Placed is a text box on a page, as drawn.
type Placed struct {
	Page int
	Box  chart.Box
	Text string
}

// Way is an area of a page that leads somewhere.
type Way struct {
	Page int
	Box  chart.Box
	To   string
}

// Target is where something landed: what a reference needs to know.
type Target struct {
	Label string // "Figure 3"
	Page  int
	y     float64
}

// Doc is a document being composed.
type Doc struct {
	size Size
	meta Meta
	y    float64 // top of the free part of the page
	used float64 // bottom of what is drawn on it; y may be below it by white space
	page int
	lead float64 // height of a line of what is set now
	of   int     // pages, from the pass before

	steps    []func(*fpdf.Fpdf) // what is drawn, in order
	notes    notes
	targets  map[string]Target // of this pass
	known    map[string]Target // of the pass before
	numbers  map[string]int    // figures and tables so far
	boxes    []Placed
	ways     []Way
	lost     int // characters removed or replaced
	lostSeen int // in the pass before

	tight   int               // how hard the single page at hand is pressed
	levels  map[string]int    // the same by section
	single  bool              // in a section that wants one page
	spilt   []string          // sections that want one page and took more
	compact bool              // little white space between blocks
	labels  map[string]string // of figures and tables, by id

	kept kept
}

// maxPasses bounds the search for stable page references; two are usual, three
// happen when "page 9" becomes "page 10" and pushes a line over.
const maxPasses = 5

// Compose builds the document until its page references no longer change. The
// function build is run once a pass and must do the same each time.
func Compose(size Size, meta Meta, build func(*Doc)) (*Doc, error) {
	prev := &Doc{}
	for range maxPasses {
		d := newDoc(size, meta, prev)
		build(d)
		d.finish()
		if d.same(prev) {
			return d, nil
		}
		prev = d
	}
	return nil, fmt.Errorf("laying out the PDF: page references did not settle in %d passes", maxPasses)
}

func newDoc(size Size, meta Meta, prev *Doc) *Doc {
	d := &Doc{
		size: size, meta: meta, lead: Baseline, of: prev.page, known: prev.targets, lostSeen: prev.lost,
		targets: map[string]Target{}, numbers: map[string]int{}, notes: newNotes(),
	}
	m := &d.meta
	for _, s := range []*string{&m.Title, &m.Subject, &m.Author, &m.Creator} {
		*s = d.clean(*s)
	}
	return d
}

func (d *Doc) same(o *Doc) bool {
	if d.page != o.page || d.lost != o.lost || len(d.targets) != len(o.targets) {
		return false
	}
	for k, t := range d.targets {
		if o.targets[k] != t {
			return false
		}
	}
	return true
}

// Write draws the PDF and writes it.
func (d *Doc) Write(w io.Writer) error {
	var b bytes.Buffer
	if err := d.drawn().Output(&b); err != nil {
		return err
	}
	out, err := completeCatalog(b.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// Boxes lists every text drawn, in drawing order.
func (d *Doc) Boxes() []Placed { return d.boxes }

// Ways lists every link, in drawing order.
func (d *Doc) Ways() []Way { return d.ways }

// Landed gives where an id landed: its page, and the mm from the page's top.
func (d *Doc) Landed(id string) (page int, y float64, ok bool) {
	t, ok := d.targets[id]
	return t.Page, t.y, ok
}

// Pages counts the pages.
func (d *Doc) Pages() int { return d.page }

// Unprintable counts the characters of the whole document that the typeface
// could not print.
func (d *Doc) Unprintable() int { return max(d.lostSeen, d.lost) }

// Width of the text area in mm.
func (d *Doc) Width() float64 { return d.size.W - 2*Margin }

// Span is the width in mm of n of the twelve columns.
func (d *Doc) Span(n int) float64 {
	col := (d.Width() - 11*Gutter) / 12
	return float64(n)*(col+Gutter) - Gutter
}

func (d *Doc) clean(s string) string {
	out, lost := typeface.Clean(s)
	d.lost += lost
	return out
}

// write draws one line of text at a baseline in page coordinates.
func (d *Doc) write(x, y float64, s string, size float64, bold bool, c chart.Colour) {
	if s == "" {
		return
	}
	t := chart.Text{At: chart.Point{X: x, Y: y}, Text: s, Size: size, Bold: bold, Colour: c}
	weight := ""
	if bold {
		weight = "B"
	}
	d.step(func(p *fpdf.Fpdf) {
		p.SetFont(typeface.Family, weight, size)
		p.SetTextColor(int(c.R), int(c.G), int(c.B))
		p.Text(x, y, s)
	})
	d.saw(t)
}

func (d *Doc) saw(t chart.Text) { d.boxes = append(d.boxes, Placed{d.page, t.Bounds(), t.Text}) }

func (d *Doc) rule(x1, y, x2 float64) { d.line(x1, y, x2, 0.2, chart.RuleGrey) }

// line draws a level line; its width is in mm.
func (d *Doc) line(x1, y, x2, width float64, c chart.Colour) {
	d.step(func(p *fpdf.Fpdf) {
		p.SetDrawColor(int(c.R), int(c.G), int(c.B))
		p.SetLineWidth(width)
		p.Line(x1, y, x2, y)
	})
}
