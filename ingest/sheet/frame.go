package sheet

import (
	"fmt"
	"path"
	"slices"
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
	formulas  int // texts of formulas that were noted
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
	if err := f.oneMore(); err != nil {
		return err
	}
	f.seen[Property{name, value}] = true
	f.book.Properties = append(f.book.Properties, Property{name, value})
	return nil
}

// comment notes a comment on a cell.
func (f *frame) comment(sheet, ref, text string) error {
	if err := f.oneMore(); err != nil {
		return err
	}
	f.book.Comments = append(f.book.Comments, Comment{sheet, ref, text})
	return nil
}

func (f *frame) oneMore() error {
	if f.texts++; f.texts > f.p.limits.Texts {
		return rules.New(rules.FileTooLarge, "the workbook carries more than %d texts outside its cells", f.p.limits.Texts)
	}
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

// owners tells which sheet a part of comments belongs to.
func (f *frame) owners(sheets map[string]string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range f.lay.sheets {
		list, err := f.p.relations(s.part)
		if err != nil {
			return nil, err
		}
		for _, r := range list {
			if !r.external {
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
	case path.Ext(file) == ".rels":
		return f.links(name)
	case file == "[content_types].xml", name == "xl/calcchain.xml", dir == "xl/theme", name == "xl/metadata.xml", strings.HasSuffix(name, "/"):
		return nil // no texts of a person's own
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
		return f.attributes(name, map[string]string{"name": "table", "displayName": "table", "comment": "table", "totalsRowLabel": "table", "val": "filter of a table"})
	case dir == "xl/drawings", dir == "xl/charts", dir == "xl/diagrams":
		return f.drawing(name)
	case dir == "xl/externallinks":
		return f.attributes(name, map[string]string{"val": "external link", "name": "external link", "refersTo": "external link", "ddeTopic": "external link"}, "v")
	case dir == "xl/pivottables", dir == "xl/slicers", dir == "xl/slicercaches", dir == "xl/timelines":
		return f.attributes(name, map[string]string{"name": "pivot table", "caption": "pivot table", "stringValue1": "pivot table", "stringValue2": "pivot table"})
	}
	f.unchecked[uncheckedKind(name)]++
	return nil
}

// What nearly every file has and nobody wrote.
const (
	printers   = "printer settings"
	thumbnails = "small pictures of the first page"
	formulas   = "formulas"
)

// uncheckedKind says in words what a part is that is not read.
func uncheckedKind(name string) string {
	dir := path.Dir(name)
	switch {
	case strings.HasPrefix(name, "docprops/thumbnail"):
		return thumbnails
	case dir == "xl/media":
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
	usual := 0
	for kind, n := range f.unchecked {
		if kind == printers || kind == thumbnails || kind == formulas {
			usual++
		}
		if n > 0 { // in old workbooks they cannot be counted
			kind = fmt.Sprintf("%s (%d)", kind, n)
		}
		kinds = append(kinds, kind)
	}
	if len(kinds) > 0 {
		slices.Sort(kinds)
		p := rules.New(rules.FileUnchecked, "carries parts that were not checked: %s; nothing of them is kept", strings.Join(kinds, ", "))
		if len(kinds) == usual {
			p.Severity = casebook.Info
		}
		b.Problems = append(b.Problems, p)
	}
}
