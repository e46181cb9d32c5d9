// Package web writes a document as one self-contained HTML file: no network,
// no script needed to read it, light and dark, for print and for narrow
// screens, meant to meet WCAG 2.2 AA.
//
// Place in the pipeline: report/section makes the document, paper lays it out
// on pages, web is its accessible twin. The same document gives the same bytes.
package web

import (
	"bufio"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html"
	"io"
	"regexp"
	"strings"

	"shortfall/report/document"
)

// Style is the style sheet of the page, Script the little it can do more:
// sorting, filtering, copying and saving its tables.
var (
	//go:embed style.css
	Style string
	//go:embed script.js
	Script string
)

// Write writes the whole page.
func Write(w io.Writer, doc *document.Document) error {
	p, err := newPage(w, doc)
	if err != nil {
		return err
	}
	p.printf("<!doctype html>\n<html lang=\"%s\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n", esc(doc.Lang))
	p.printf("<meta http-equiv=\"Content-Security-Policy\" content=\"%s\">\n", policy())
	p.printf("<meta name=\"generator\" content=\"%s\">\n<meta name=\"description\" content=\"%s\">\n<title>%s</title>\n<style>\n%s</style>\n</head>\n<body>\n", esc(doc.Creator), esc(doc.Subject), esc(doc.Title), Style)
	p.printf("<a class=\"skip\" href=\"#main\">Skip to the report</a>\n<header>\n<h1>%s</h1>\n<p class=\"quiet\">%s</p>\n</header>\n", esc(doc.Title), esc(doc.Subject))
	p.contents()
	p.printf("<main id=\"main\">\n")
	p.above = 1
	p.body()
	p.printf("</main>\n<footer><p class=\"quiet\">%s</p></footer>\n<script>\n%s</script>\n</body>\n</html>\n", esc(doc.Foot), Script)
	return p.w.Flush() // a buffered writer keeps its first error
}

// policy allows the style and the script of this very text and nothing else, so that
// what a sheet might have brought in could neither run nor be fetched (W3C, Content
// Security Policy Level 3, hash-source).
func policy() string {
	hash := func(text string) string {
		sum := sha256.Sum256([]byte("\n" + text)) // as it stands between its tags
		return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return "default-src 'none'; style-src " + hash(Style) + "; script-src " + hash(Script) + "; base-uri 'none'; form-action 'none'"
}

// Enter gives the address behind a datum of a figure, "" for none.
type Enter func(figure, datum string) string

// Fragment writes what a document says into a page that has the style sheet and a head
// of its own. What enter knows leads further.
func Fragment(w io.Writer, doc *document.Document, enter Enter) error {
	p, err := newPage(w, doc)
	if err != nil {
		return err
	}
	p.above, p.enter = 1, enter
	p.body()
	return p.w.Flush() // a buffered writer keeps its first error
}

// entering is what the data of one figure lead to.
func (p *page) entering(figure string) func(string) string {
	if p.enter == nil {
		return nil
	}
	return func(datum string) string { return p.enter(figure, datum) }
}

// page is a document being written.
type page struct {
	w       *bufio.Writer
	doc     *document.Document
	labels  map[string]string
	figures int // drawn so far: their SVGs have ids of their own
	blocks  int // with notes so far
	notes   *notes
	above   int // levels of heads above those of the document
	enter   Enter
}

func newPage(w io.Writer, doc *document.Document) (*page, error) {
	if err := doc.Check(); err != nil {
		return nil, err
	}
	return &page{w: bufio.NewWriter(w), doc: doc, labels: doc.Labels()}, nil
}

func (p *page) printf(format string, args ...any) { fmt.Fprintf(p.w, format, args...) }

// esc escapes text; a thin space between thousands must not break a line.
func esc(s string) string { return html.EscapeString(strings.ReplaceAll(s, "\u2009", "\u202f")) }

// compound is a word of several, which a browser would break at its hyphens.
var compound = regexp.MustCompile(`\pL{3,}(?:-\pL{2,})+`)

// HeadWords escapes the words of a head, in large letters and few a line: one that has a
// hyphen stays in one piece.
func HeadWords(s string) string {
	return compound.ReplaceAllString(esc(s), `<span class="whole">$0</span>`)
}

// id writes an id attribute, or nothing.
func id(s string) string {
	if s == "" {
		return ""
	}
	return ` id="` + esc(s) + `"`
}

func (p *page) contents() {
	p.printf("<nav aria-label=\"Contents\"><ul>\n")
	for i, s := range p.doc.Sections {
		p.printf("<li><a href=\"#%s\">%s</a></li>\n", esc(sectionID(s, i)), esc(s.Title))
	}
	p.printf("</ul></nav>\n")
}

func sectionID(s document.Section, i int) string {
	if s.ID != "" {
		return s.ID
	}
	return fmt.Sprintf("section-%d", i+1)
}

func (p *page) body() {
	for i, s := range p.doc.Sections {
		s.ID = sectionID(s, i)
		p.section(s, 1)
	}
}

func (p *page) section(s document.Section, level int) {
	p.printf("<section%s>\n", id(s.ID))
	for i, line := range s.Over {
		words := esc(line)
		if s.To != "" && i == len(s.Over)-1 {
			words = `<a href="#` + esc(s.To) + `">` + words + "</a>"
		}
		p.printf("<p class=\"quiet\">%s</p>\n", words)
	}
	h := min(level+p.above, 6)
	p.printf("<h%d>%s</h%d>\n", h, HeadWords(s.Title), h)
	list := false
	for _, b := range s.Blocks {
		para, ok := b.(document.Para)
		if item := ok && para.Role == document.Item; item != list {
			list = item
			p.printf("%s", map[bool]string{true: "<ul class=\"items\">\n", false: "</ul>\n"}[item])
		}
		p.block(b, level)
	}
	if list {
		p.printf("</ul>\n")
	}
	p.printf("</section>\n")
}

func (p *page) block(b document.Block, level int) {
	switch b := b.(type) {
	case document.Section:
		p.section(b, level+1)
	case document.Para:
		p.para(b)
	case document.Table:
		if b.IfRoom && b.ToFill { // nobody writes on a screen
			return
		}
		p.openNotes()
		p.table(b)
		p.closeNotes("")
	case document.Figure:
		p.openNotes()
		p.figure(b)
		p.closeNotes(b.ID)
	}
}

var roles = map[document.Role]string{document.Lead: "lead", document.Minor: "quiet", document.Caution: "caution"}

func (p *page) para(b document.Para) {
	p.openNotes()
	switch class := roles[b.Role]; {
	case b.Role == document.Item:
		p.printf("<li>%s%s", mark(b.Mark), p.text(b.Text))
		p.closeNotes("")
		p.printf("</li>\n")
		return
	case class != "":
		p.printf("<p class=\"%s\">%s</p>\n", class, p.text(b.Text))
	default:
		p.printf("<p>%s</p>\n", p.text(b.Text))
	}
	p.closeNotes("")
}

func mark(s string) string {
	if s == "" {
		return ""
	}
	return `<span class="mark">` + esc(s) + `</span> `
}

// text writes running text.
func (p *page) text(t document.Text) string {
	var b strings.Builder
	for _, s := range t {
		words := esc(s.Text)
		if words == "" && s.To != "" {
			words = esc(p.labels[s.To])
		}
		switch {
		case words == "":
		case s.Strong:
			words = "<strong>" + words + "</strong>"
		case s.Quiet:
			words = `<span class="quiet">` + words + "</span>"
		}
		if s.To != "" {
			words = `<a href="#` + esc(s.To) + `">` + words + "</a>"
		}
		b.WriteString(words + p.marks(s.Notes))
	}
	return b.String()
}
