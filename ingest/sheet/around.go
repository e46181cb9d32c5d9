package sheet

import (
	"encoding/xml"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/rules"
)

// workbook reads the names that are defined in it and how it counts days.
func (f *frame) workbook() error {
	return f.p.walk(f.lay.book, func(t *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "workbookPr":
			f.book.Date1904 = isTrue(attr(e, "date1904"))
		case "fileSharing":
			return f.text("last modified by", attr(e, "userName"))
		case "absPath": // where it was saved last, an extension of ECMA-376
			return f.text("folder in which it was saved", attr(e, "url"))
		case "customWorkbookView": // one for each person who shares the file
			return f.text("view of the workbook", attr(e, "name"))
		case "sheet": // those without cells are charts and dialogues, whose names nobody else looks at
			if name := attr(e, "name"); !slices.ContainsFunc(f.lay.sheets, func(s sheetPart) bool { return s.name == name }) {
				return f.text("name of a sheet", name)
			}
		case "definedName":
			if err := f.text("defined name", attr(e, "name")); err != nil {
				return err
			}
			if err := f.text("comment of a defined name", attr(e, "comment")); err != nil {
				return err
			}
			s, err := t.content(f.p.limits.TextBytes)
			if err != nil {
				return err
			}
			if strings.ContainsFunc(s, unicode.IsDigit) && strings.Trim(s, "0123456789.+-") == "" {
				return f.text("constant of a defined name", s)
			}
			return f.quoted("constant of a defined name", s)
		}
		return nil
	})
}

// quoted notes the texts between quotation marks of a formula or format code.
func (f *frame) quoted(name, code string) error {
	for i := 0; ; i++ {
		_, rest, ok := strings.Cut(code, `"`)
		if !ok {
			return nil
		}
		inside, after, ok := strings.Cut(rest, `"`)
		if !ok {
			return nil
		}
		for item := range strings.SplitSeq(inside, ",") {
			if err := f.text(name, item); err != nil {
				return err
			}
		}
		code = after
	}
}

// The properties of the document by element (ECMA-376 part 2, 11; part 1, 22.2).
var (
	coreNames = map[string]string{
		"title": "title", "subject": "subject", "creator": "author", "lastModifiedBy": "last modified by", "description": "description",
		"category": "category", "keywords": "keywords", "identifier": "identifier", "contentStatus": "content status",
	}
	appNames = map[string]string{"Company": "company", "Manager": "manager", "HyperlinkBase": "link", "Template": "template"}
)

func (f *frame) properties(name string, names map[string]string) error {
	return f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		if names[e.Name.Local] == "" {
			return nil
		}
		s, err := t.content(f.p.limits.TextBytes)
		if err != nil {
			return err
		}
		return f.text(names[e.Name.Local], s)
	})
}

// custom reads the properties a user adds, of whatever type.
func (f *frame) custom(name string) error {
	return f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		if e.Name.Local != "property" {
			return nil
		}
		own := attr(e, "name")
		if err := f.text("name of a custom property", own); err != nil {
			return err
		}
		s, err := t.content(f.p.limits.TextBytes)
		if err != nil {
			return err
		}
		return f.text("custom property", s)
	})
}

// ofSheet notes the texts of what stands beside the cells of a sheet: filters may name what
// was filtered, scenarios who made them.
func (f *frame) ofSheet(t *tokens, e xml.StartElement) error {
	names := sheetTexts[e.Name.Local]
	for _, a := range e.Attr {
		if slices.Contains(names, a.Name.Local) {
			if err := f.text(beside[e.Name.Local], a.Value); err != nil {
				return err
			}
		}
	}
	if e.Name.Local != "cfRule" {
		return nil
	}
	s, err := t.content(f.p.limits.TextBytes)
	if err != nil {
		return err
	}
	return f.quoted("condition of a format", s)
}

// The attributes of a sheet that hold texts, by element, and what people call the
// element (ECMA-376 part 1, 18.3.1).
var (
	sheetTexts = map[string][]string{
		"protectedRange": {"name"}, "filter": {"val"}, "customFilter": {"val"}, "cfRule": {"text"}, "scenario": {"name", "user", "comment"},
		"controlPr": {"altText"}, "objectPr": {"altText"}, "webPublishItem": {"title", "destinationFile"},
	}
	beside = map[string]string{
		"protectedRange": "protected range", "filter": "filter", "customFilter": "filter", "cfRule": "condition of a format", "scenario": "scenario",
		"controlPr": "alternative text", "objectPr": "alternative text", "webPublishItem": "web page",
	}
)

func (f *frame) comments(name, sheet string) error {
	return f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "author":
			s, err := t.content(f.p.limits.TextBytes)
			if err != nil {
				return err
			}
			return f.text("comment author", s)
		case "comment":
			s, err := t.text(f.p.limits.TextBytes)
			if err != nil {
				return err
			}
			return f.comment(sheet, attr(e, "ref"), s)
		}
		return nil
	})
}

// all notes the content of every element of a name.
func (f *frame) all(name, as string, elements ...string) error {
	return f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		if !slices.Contains(elements, e.Name.Local) {
			return nil
		}
		s, err := t.content(f.p.limits.TextBytes)
		if err != nil {
			return err
		}
		return f.text(as, s)
	})
}

// attributes notes the attributes of the names given, and the content of elements.
func (f *frame) attributes(name string, names map[string]string, elements ...string) error {
	return f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		for _, a := range e.Attr {
			if as := names[a.Name.Local]; as != "" {
				if err := f.text(as, a.Value); err != nil {
					return err
				}
			}
		}
		if !slices.Contains(elements, e.Name.Local) {
			return nil
		}
		s, err := t.content(f.p.limits.TextBytes)
		if err != nil {
			return err
		}
		return f.text("external link", s)
	})
}

// drawing reads the texts of shapes and charts, and what is said of pictures for
// those who cannot see them. The older form of drawings is no strict XML: where
// it cannot be read it counts as unchecked.
func (f *frame) drawing(name string) error {
	err := f.p.walk(name, func(t *tokens, e xml.StartElement) error {
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "descr", "title", "alt":
				if err := f.text("alternative text", a.Value); err != nil {
					return err
				}
			case "name":
				if e.Name.Local == "cNvPr" {
					if err := f.text("name of a shape", a.Value); err != nil {
						return err
					}
				}
			}
		}
		switch e.Name.Local {
		case "p", "textbox": // a paragraph of DrawingML, a text box of VML
			s, err := t.content(f.p.limits.TextBytes)
			if err != nil {
				return err
			}
			return f.text("text box", s)
		case "v", "pt": // a value that a chart keeps
			s, err := t.content(f.p.limits.TextBytes)
			if err != nil {
				return err
			}
			if _, err := strconv.ParseFloat(s, 64); err != nil {
				return f.text("chart", s)
			}
		}
		return nil
	})
	if err != nil && f.p.ctx.Err() == nil && problemOf(err).Rule == string(rules.FileDamaged) {
		f.unchecked["drawings"]++
		return nil
	}
	return err
}

// links notes where the relationships of any part lead out of the file: addresses, and
// the folders of other files.
func (f *frame) links(name string) error {
	return f.p.walk(name, func(_ *tokens, e xml.StartElement) error {
		if e.Name.Local != "Relationship" || attr(e, "TargetMode") != "External" {
			return nil
		}
		target := attr(e, "Target")
		if plain, err := url.PathUnescape(target); err == nil {
			target = plain
		}
		return f.text("link", target)
	})
}

// mostOfFormulas is how many texts of formulas are looked at; a long sheet may have as
// many as rows.
const mostOfFormulas = 1000

// formula notes the texts between quotation marks of the formula of a cell.
func (f *frame) formula(code string) error {
	if !strings.Contains(code, `"`) {
		return nil
	}
	if f.formulas >= mostOfFormulas {
		f.unchecked["texts in formulas"]++
		return nil
	}
	before := f.texts
	err := f.quoted("formula", code)
	f.formulas += f.texts - before
	return err
}
