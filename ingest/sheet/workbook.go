package sheet

import (
	"bytes"
	"context"
	"encoding/xml"
	"path"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/rules"
)

// The few elements of a workbook that say where the sheets are.
type (
	relationships struct {
		List []relationship `xml:"Relationship"`
	}
	relationship struct {
		ID     string `xml:"Id,attr"`
		Type   string `xml:"Type,attr"`
		Target string `xml:"Target,attr"`
		Mode   string `xml:"TargetMode,attr"`
	}
	workbookPart struct {
		Sheets []struct {
			Name  string     `xml:"name,attr"`
			State string     `xml:"state,attr"`
			Attrs []xml.Attr `xml:",any,attr"` // r:id, whose namespace differs between the two dialects
		} `xml:"sheets>sheet"`
	}
)

// sheetPart is a sheet of the workbook and the part that holds it.
type sheetPart struct {
	name, part string
	hidden     bool
}

// layout is where the parts of a workbook are.
type layout struct {
	sheets  []sheetPart
	strings string // part of the shared texts, "" where there is none
	links   bool
	macros  bool
}

func (b *Book) readZip(ctx context.Context, data []byte, l Limits) error {
	p, err := openPack(ctx, data, l)
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
	around, err := p.openAround(lay)
	if err != nil {
		return err
	}
	defer around.Close()
	b.describe(around, lay)
	texts, err := p.sharedTexts(ctx, lay.strings)
	if err != nil {
		return err
	}
	in := &cellReader{ctx: ctx, limits: l, texts: texts, styles: map[int]numberStyle{}, around: around}
	for _, s := range lay.sheets {
		sh, err := in.sheet(p, s)
		if err != nil {
			return place(problemOf(err), b.File.Name, s.name)
		}
		b.Sheets = append(b.Sheets, sh)
		b.Properties = append(b.Properties, in.properties...)
	}
	return nil
}

// layout follows the relationships from the root of the container.
func (p *pack) layout() (layout, error) {
	var lay layout
	book := "xl/workbook.xml"
	var root relationships
	if err := p.unmarshal("_rels/.rels", &root); err == nil {
		for _, r := range root.List {
			if strings.HasSuffix(r.Type, "/officeDocument") {
				book = strings.TrimPrefix(r.Target, "/")
			}
		}
	}
	var wb workbookPart
	if err := p.unmarshal(book, &wb); err != nil {
		return lay, err
	}
	var rels relationships
	if err := p.unmarshal(path.Join(path.Dir(book), "_rels", path.Base(book)+".rels"), &rels); err != nil {
		return lay, err
	}
	parts := map[string]string{}
	for _, r := range rels.List {
		target := r.Target
		if !strings.HasPrefix(target, "/") {
			target = path.Join(path.Dir(book), target)
		}
		target = partName(target)
		switch kind := path.Base(r.Type); kind {
		case "worksheet":
			parts[r.ID] = target
		case "sharedStrings":
			lay.strings = target
		case "externalLink", "connections":
			lay.links = true
		case "vbaProject", "xlMacrosheet", "xlIntlMacrosheet":
			lay.macros = true
		}
	}
	for _, s := range wb.Sheets {
		for _, a := range s.Attrs {
			if part := parts[a.Value]; a.Name.Local == "id" && part != "" {
				hidden := s.State == "hidden" || s.State == "veryHidden"
				lay.sheets = append(lay.sheets, sheetPart{s.Name, part, hidden})
			}
		}
	}
	if len(lay.sheets) == 0 {
		return lay, rules.New(rules.FileDamaged, "the workbook names no sheet that it holds")
	}
	return lay, nil
}

// openAround opens everything but the cells and texts with excelize.
func (p *pack) openAround(lay layout) (*excelize.File, error) {
	blank := map[string]bool{}
	for _, s := range lay.sheets {
		blank[s.part] = true
	}
	data, err := p.frame(map[string]bool{lay.strings: true}, blank)
	if err != nil {
		return nil, rules.New(rules.FileDamaged, "a part of the workbook cannot be unpacked")
	}
	// The unpacked size is already checked; equal limits keep excelize from
	// writing temporary files.
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: p.limits.UnpackedBytes, UnzipXMLSizeLimit: p.limits.UnpackedBytes,
	})
	if err != nil {
		return nil, rules.New(rules.FileDamaged, "the parts around the sheets are malformed")
	}
	return f, nil
}

// describe notes what the workbook says about itself.
func (b *Book) describe(f *excelize.File, lay layout) {
	if lay.macros {
		b.Problems = append(b.Problems, rules.New(rules.FileMacros, "the workbook carries macros; they were not run"))
	}
	if lay.links {
		b.Problems = append(b.Problems, rules.New(rules.FileLinks, "the workbook links to other files; the links were not followed"))
	}
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		b.Date1904 = *props.Date1904
	}
	add := func(name, value string) {
		if strings.TrimSpace(value) != "" {
			b.Properties = append(b.Properties, Property{name, value})
		}
	}
	if d, err := f.GetDocProps(); err == nil {
		add("title", d.Title)
		add("subject", d.Subject)
		add("author", d.Creator)
		add("last modified by", d.LastModifiedBy)
		add("description", d.Description)
		add("category", d.Category)
		add("keywords", d.Keywords)
		add("identifier", d.Identifier)
		add("content status", d.ContentStatus)
	}
	if a, err := f.GetAppProps(); err == nil {
		add("company", a.Company)
	}
	if custom, err := f.GetCustomProps(); err == nil {
		for _, c := range custom {
			if s, ok := c.Value.(string); ok {
				add("custom property "+c.Name, s)
			}
		}
	}
	for _, d := range f.GetDefinedName() {
		add("defined name", d.Name)
	}
	for _, s := range lay.sheets {
		b.addComments(f, s.name)
	}
}

func (b *Book) addComments(f *excelize.File, sheet string) {
	comments, err := f.GetComments(sheet)
	if err != nil {
		return
	}
	for _, c := range comments {
		var text strings.Builder
		text.WriteString(c.Text)
		for _, r := range c.Paragraph {
			text.WriteString(r.Text)
		}
		b.Comments = append(b.Comments, Comment{sheet, c.Cell, text.String()})
		if c.Author != "" {
			b.Properties = append(b.Properties, Property{"comment author", c.Author})
		}
	}
}
