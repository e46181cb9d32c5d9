package sheet

import (
	"context"
	"encoding/xml"
	"io"
	"path"
	"strings"

	"shortfall/ingest/rules"
)

// sheetPart is a sheet of the workbook and the part that holds it.
type sheetPart struct {
	name, part string
	hidden     bool
}

// layout is where the parts of a workbook are.
type layout struct {
	book    string // part of the workbook
	sheets  []sheetPart
	strings string // part of the shared texts, "" where there is none
	styles  string // part of the formats, "" where there is none
	links   bool
	macros  bool
}

func (b *Book) readZip(ctx context.Context, content io.ReaderAt, size int64, l Limits) error {
	p, err := openPack(ctx, content, size, l)
	if err != nil {
		return err
	}
	if isOpenDocument(p) {
		return b.readOpenDocument(ctx, p, l)
	}
	return b.readWorkbook(ctx, p, l)
}

func (b *Book) readWorkbook(ctx context.Context, p *pack, l Limits) error {
	b.Format = Workbook
	lay, err := p.layout()
	if err != nil {
		return err
	}
	f := newFrame(b, p, lay)
	if err := f.read(); err != nil {
		return err
	}
	texts, err := p.sharedTexts(ctx, lay.strings)
	if err != nil {
		return err
	}
	in := &cellReader{ctx: ctx, limits: l, texts: newTexts(texts), shared: len(texts), styles: f.styles, frame: f}
	for _, s := range lay.sheets {
		sh, err := in.sheet(p, s)
		if err != nil {
			return place(problemOf(err), b.File.Name, s.name)
		}
		b.Sheets = append(b.Sheets, sh)
	}
	f.describe()
	return nil
}

// relation is one relationship of a part.
type relation struct {
	id, kind, target string
	external         bool
}

// mostRelations of one part; a workbook has a few for each sheet.
const mostRelations = 10_000

// relations reads the relationships of a part ("" for the container); where
// there are none the list is empty.
func (p *pack) relations(of string) ([]relation, error) {
	name := path.Join(path.Dir(of), "_rels", path.Base(of)+".rels")
	if of == "" {
		name = "_rels/.rels"
	}
	if _, ok := p.parts[partName(name)]; !ok {
		return nil, nil
	}
	var out []relation
	err := p.walk(name, func(_ *tokens, e xml.StartElement) error {
		if e.Name.Local != "Relationship" {
			return nil
		}
		if len(out) >= mostRelations {
			return rules.New(rules.FileTooLarge, "a part has more than %d relationships", mostRelations)
		}
		r := relation{id: attr(e, "Id"), kind: path.Base(attr(e, "Type")), target: attr(e, "Target"), external: attr(e, "TargetMode") == "External"}
		if !r.external {
			if !strings.HasPrefix(r.target, "/") {
				r.target = path.Join(path.Dir(of), r.target)
			}
			r.target = partName(r.target)
		}
		out = append(out, r)
		return nil
	})
	return out, err
}

// layout follows the relationships from the root of the container.
func (p *pack) layout() (layout, error) {
	lay := layout{book: "xl/workbook.xml"}
	root, err := p.relations("")
	if err != nil {
		return lay, err
	}
	for _, r := range root {
		if r.kind == "officeDocument" {
			lay.book = r.target
		}
	}
	list, err := p.relations(lay.book)
	if err != nil {
		return lay, err
	}
	parts := map[string]string{}
	for _, r := range list {
		switch r.kind {
		case "worksheet":
			parts[r.id] = r.target
		case "sharedStrings":
			lay.strings = r.target
		case "styles":
			lay.styles = r.target
		case "externalLink", "connections":
			lay.links = true
		case "vbaProject", "xlMacrosheet", "xlIntlMacrosheet":
			lay.macros = true
		}
	}
	err = p.walk(lay.book, func(_ *tokens, e xml.StartElement) error {
		if e.Name.Local == "sheet" {
			return lay.addSheet(e, parts, p.limits)
		}
		return nil
	})
	if err == nil && len(lay.sheets) == 0 {
		err = rules.New(rules.FileDamaged, "the workbook names no sheet that it holds")
	}
	return lay, err
}

// addSheet notes a sheet of the workbook; two sheets of one part are damage.
func (lay *layout) addSheet(e xml.StartElement, parts map[string]string, l Limits) error {
	s := sheetPart{name: attr(e, "name")}
	for _, a := range e.Attr { // r:id, whose namespace differs between the two dialects
		if a.Name.Local == "id" && parts[a.Value] != "" {
			s.part = parts[a.Value]
		}
	}
	state := attr(e, "state")
	s.hidden = state == "hidden" || state == "veryHidden"
	switch {
	case s.part == "":
		return nil // a chart on a sheet of its own, or a dialogue
	case len(lay.sheets) >= l.Sheets:
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d sheets", l.Sheets)
	case len(s.name) > l.TextBytes:
		return rules.New(rules.FileTooLarge, "the name of a sheet is longer than %d bytes", l.TextBytes)
	}
	for _, other := range lay.sheets {
		if other.part == s.part {
			return rules.New(rules.FileDamaged, "two sheets of the workbook are one part of it")
		}
	}
	lay.sheets = append(lay.sheets, s)
	return nil
}
