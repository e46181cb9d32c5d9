package sheet

import (
	"encoding/xml"
	"io"
	"slices"
	"strings"
)

// encrypted looks for the mark that OpenDocument packages carry in their manifest.
func encrypted(p *pack) bool {
	rc, err := p.open("META-INF/manifest.xml")
	if err != nil {
		return false
	}
	defer rc.Close()
	data, _ := io.ReadAll(io.LimitReader(rc, 1<<20))
	return strings.Contains(string(data), "encryption-data")
}

// aroundTables reads the parts of an OpenDocument file beside its tables (ISO/IEC 26300,
// part 3: 4.3 metadata, 16 styles with page headers), and counts those it does not read.
func (f *frame) aroundTables() error {
	for _, z := range f.p.order {
		var err error
		switch name := partName(z.Name); {
		case strings.HasSuffix(name, "/"), slices.Contains(odsKnown, name), strings.HasPrefix(name, "meta-inf/"), strings.HasPrefix(name, "configurations2/"):
		case name == "meta.xml":
			err = f.odsTexts(name, odsMeta)
		case name == "styles.xml":
			err = f.odsTexts(name, odsPages)
		case strings.HasPrefix(name, "thumbnails/"):
			f.unchecked[thumbnails]++
		case strings.HasPrefix(name, "pictures/"):
			f.unchecked["pictures"]++
		case strings.HasPrefix(name, "object "), strings.HasPrefix(name, "objectreplacements/"):
			f.unchecked["embedded files"]++
		case strings.HasPrefix(name, "basic/"), strings.HasPrefix(name, "scripts/"):
			f.unchecked["macros"]++
		default:
			f.unchecked["other parts"]++
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Parts of which nothing is anybody's own text, and elements by what people call them.
var (
	odsKnown = []string{"mimetype", "content.xml", "settings.xml", "manifest.rdf", "layout-cache"}
	odsMeta  = map[string]string{
		"title": "title", "subject": "subject", "creator": "last modified by", "initial-creator": "author", "printed-by": "last modified by",
		"description": "description", "keyword": "keywords", "user-defined": "custom property",
	}
	odsPages = map[string]string{
		"header": "page text header", "header-left": "page text header", "header-first": "page text header",
		"footer": "page text footer", "footer-left": "page text footer", "footer-first": "page text footer",
	}
)

// odsTexts notes the content of the elements of a part that names lists.
func (f *frame) odsTexts(part string, names map[string]string) error {
	return f.p.walk(part, func(t *tokens, e xml.StartElement) error {
		if e.Name.Local == "user-defined" {
			if err := f.text("name of a custom property", prefixed(e, "name")); err != nil {
				return err
			}
		}
		if names[e.Name.Local] == "" {
			return f.besideTables(t, e)
		}
		return f.paragraph(t, names[e.Name.Local])
	})
}

// paragraph notes the text up to the end of the element just opened.
func (f *frame) paragraph(t *tokens, as string) error {
	s, err := t.plain(f.p.limits.TextBytes, nil)
	if err != nil {
		return err
	}
	return f.text(as, s)
}

// besideTables notes an element that stands outside the tables: checks and their messages,
// names, links, and the texts of number formats.
func (f *frame) besideTables(t *tokens, e xml.StartElement) error {
	switch {
	case e.Name.Space == "number" && e.Name.Local == "text":
		s, err := t.plain(f.p.limits.TextBytes, nil)
		if err != nil || len([]rune(strings.TrimSpace(s))) < 3 { // a separator, a unit
			return err
		}
		return f.text("number format", s)
	case e.Name.Local == "content-validation":
		return f.quoted("list of a check", prefixed(e, "condition"))
	case e.Name.Local == "help-message", e.Name.Local == "error-message":
		if err := f.text("message of a check", prefixed(e, "title")); err != nil {
			return err
		}
		return f.paragraph(t, "message of a check")
	case e.Name.Local == "named-range", e.Name.Local == "named-expression", e.Name.Local == "database-range":
		if err := f.text("defined name", prefixed(e, "name")); err != nil {
			return err
		}
		return f.quoted("constant of a defined name", prefixed(e, "expression"))
	case e.Name.Local == "filter-condition", e.Name.Local == "filter-set-item":
		return f.text("filter", prefixed(e, "value"))
	case e.Name.Local == "scenario":
		return f.text("scenario", prefixed(e, "comment"))
	case e.Name.Local == "dde-source", e.Name.Local == "table-source", e.Name.Local == "cell-range-source":
		f.lay.links = true
		return f.text("link", prefixed(e, "href"))
	}
	return nil
}

// drawn notes the texts of the drawing just opened, to its end: they are none of the cell on
// which it lies.
func (f *frame) drawn(t *tokens) error {
	for depth := len(t.open); len(t.open) >= depth; {
		tok, err := t.next()
		if err != nil {
			return err
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "p":
			err = f.paragraph(t, "text box")
		case "title", "desc":
			err = f.paragraph(t, "alternative text")
		case "a":
			err = f.text("link", prefixed(e, "href"))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// annotation notes a comment on a cell, to its end: who wrote it apart from what it says.
func (f *frame) annotation(t *tokens, sheet, ref string) error {
	s, err := t.plain(f.p.limits.TextBytes, func(e xml.StartElement) (bool, error) {
		switch e.Name.Local {
		case "creator", "creator-initials":
			return true, f.paragraph(t, "comment author")
		case "date", "date-string":
			return true, t.skip()
		}
		return false, nil
	})
	if err != nil {
		return err
	}
	return f.comment(sheet, ref, s)
}
