package sheet

import (
	"encoding/xml"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// frame reads what stands around the cells of a workbook. Its texts go to
// the book to be screened, and nowhere else; parts of which nothing is known are
// counted by kind.
type frame struct {
	book    *Book
	p       *pack
	lay     layout
	styles  []numberStyle // by index of the cell format
	formats map[int]string
	// unchecked counts parts that may hold texts or pictures and are not read.
	unchecked map[string]int
	texts     int
	seen      map[Property]bool
}

func newFrame(b *Book, p *pack, lay layout) *frame {
	return &frame{book: b, p: p, lay: lay, formats: map[int]string{}, unchecked: map[string]int{}, seen: map[Property]bool{}}
}

// text notes a text that stands outside the cells.
func (f *frame) text(name, value string) error {
	value = strings.TrimSpace(value)
	if value == "" || f.seen[Property{name, value}] {
		return nil
	}
	if len(value) > f.p.limits.TextBytes {
		return rules.New(rules.FileTooLarge, "a text outside the cells (%s) is longer than %d bytes", name, f.p.limits.TextBytes)
	}
	if f.texts++; f.texts > f.p.limits.Texts {
		return rules.New(rules.FileTooLarge, "the workbook carries more than %d texts outside its cells", f.p.limits.Texts)
	}
	f.seen[Property{name, value}] = true
	f.book.Properties = append(f.book.Properties, Property{name, value})
	return nil
}

// read reads every part but the sheets and the shared texts.
func (f *frame) read() error {
	if f.lay.styles != "" {
		if err := f.readStyles(); err != nil {
			return err
		}
	}
	if err := f.workbook(); err != nil {
		return err
	}
	sheets := map[string]string{}
	for _, s := range f.lay.sheets {
		sheets[s.part] = s.name
	}
	ofSheet, err := f.owners(sheets)
	if err != nil {
		return err
	}
	for _, z := range f.p.order {
		name := partName(z.Name)
		if _, cells := sheets[name]; cells || name == f.lay.strings || name == f.lay.styles || name == f.lay.book {
			continue
		}
		if err := f.part(name, ofSheet[name]); err != nil {
			return err
		}
	}
	return nil
}

// owners tells which sheet a part of comments belongs to, and notes the links
// that leave the file.
func (f *frame) owners(sheets map[string]string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range f.lay.sheets {
		list, err := f.p.relations(s.part)
		if err != nil {
			return nil, err
		}
		for _, r := range list {
			switch {
			case r.external:
				if err := f.text("link", r.target); err != nil {
					return nil, err
				}
			default:
				out[r.target] = sheets[s.part]
			}
		}
	}
	return out, nil
}

// part reads one part by its kind.
func (f *frame) part(name, sheet string) error {
	dir, file := path.Dir(name), path.Base(name)
	is := func(in, begins string) bool { return dir == in && strings.HasPrefix(file, begins) }
	switch {
	case path.Ext(file) == ".rels", file == "[content_types].xml", name == "xl/calcchain.xml", dir == "xl/theme", name == "xl/metadata.xml",
		strings.HasSuffix(name, "/"):
		return nil
	case name == "docprops/core.xml":
		return f.properties(name, coreNames)
	case name == "docprops/app.xml":
		return f.properties(name, appNames)
	case name == "docprops/custom.xml":
		return f.custom(name)
	case is("xl", "comments"), is("xl/comments", "comment"):
		return f.comments(name, sheet)
	case dir == "xl/threadedcomments":
		return f.all(name, "threaded comment", "text")
	case dir == "xl/persons":
		return f.attributes(name, map[string]string{"displayName": "comment author", "userId": "account"})
	case dir == "xl/tables":
		return f.attributes(name, map[string]string{"name": "table", "displayName": "table", "comment": "table", "totalsRowLabel": "table"})
	case dir == "xl/drawings", dir == "xl/charts", dir == "xl/diagrams":
		return f.drawing(name)
	case dir == "xl/externallinks":
		return f.attributes(name, map[string]string{"val": "external link"}, "v")
	case dir == "xl/pivottables", dir == "xl/slicers", dir == "xl/slicercaches", dir == "xl/timelines":
		return f.attributes(name, map[string]string{"name": "pivot table", "caption": "pivot table"})
	}
	f.unchecked[uncheckedKind(name)]++
	return nil
}

const printers = "printer settings"

// uncheckedKind says in words what a part is that is not read.
func uncheckedKind(name string) string {
	dir := path.Dir(name)
	switch {
	case dir == "xl/media", strings.HasPrefix(name, "docprops/thumbnail"):
		return "pictures"
	case dir == "xl/embeddings":
		return "embedded files"
	case dir == "xl/pivotcache":
		return "copies of data behind pivot tables"
	case dir == "xl/printersettings":
		return printers
	case strings.HasPrefix(name, "customxml/"):
		return "data of other programs"
	case strings.Contains(name, "vbaproject"), strings.HasPrefix(dir, "xl/macrosheets"):
		return "macros"
	case strings.HasPrefix(dir, "xl/activex"), strings.HasPrefix(dir, "xl/ctrlprops"):
		return "controls"
	case name == "xl/connections.xml", strings.HasPrefix(dir, "xl/querytables"):
		return "connections"
	case strings.HasPrefix(dir, "xl/model"):
		return "data models"
	}
	return "other parts"
}

// describe says what the workbook carries besides its cells.
func (f *frame) describe() {
	b := f.book
	if f.lay.macros {
		b.Problems = append(b.Problems, rules.New(rules.FileMacros, "the workbook carries macros; they were not run"))
	}
	if f.lay.links {
		b.Problems = append(b.Problems, rules.New(rules.FileLinks, "the workbook links to other files; the links were not followed"))
	}
	var kinds []string
	for kind, n := range f.unchecked {
		kinds = append(kinds, fmt.Sprintf("%s (%d)", kind, n))
	}
	if len(kinds) > 0 {
		slices.Sort(kinds)
		p := rules.New(rules.FileUnchecked, "carries parts that were not checked: %s; nothing of them is kept", strings.Join(kinds, ", "))
		if len(kinds) == 1 && f.unchecked[printers] > 0 {
			p.Severity = casebook.Info // nearly every file has them
		}
		b.Problems = append(b.Problems, p)
	}
}

// workbook reads the names that are defined in it and how it counts days.
func (f *frame) workbook() error {
	return f.p.walk(f.lay.book, func(t *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "workbookPr":
			f.book.Date1904 = isTrue(attr(e, "date1904"))
		case "fileSharing":
			return f.text("last modified by", attr(e, "userName"))
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
			if f.texts++; f.texts > f.p.limits.Texts {
				return rules.New(rules.FileTooLarge, "the workbook carries more than %d texts outside its cells", f.p.limits.Texts)
			}
			f.book.Comments = append(f.book.Comments, Comment{sheet, attr(e, "ref"), s})
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
		case "v": // a value that a chart keeps
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
