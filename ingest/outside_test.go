package ingest

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/rules"
)

// repacked is a fixture with parts that are changed (by a pair of texts, old and new) or added.
func repacked(t *testing.T, fixture string, change map[string][2]string, add map[string]string) string {
	t.Helper()
	from, err := zip.OpenReader(filepath.Join("testdata", "files", fixture))
	require.NoError(t, err)
	defer from.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	put := func(name, content string) {
		p, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		require.NoError(t, err)
		_, err = io.WriteString(p, content)
		require.NoError(t, err)
	}
	for _, f := range from.File {
		if _, replaced := add[f.Name]; replaced {
			continue
		}
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		content := string(data)
		if c, ok := change[f.Name]; ok {
			require.Contains(t, content, c[0], f.Name)
			content = strings.Replace(content, c[0], c[1], 1)
		}
		put(f.Name, content)
	}
	for _, name := range slices.Sorted(maps.Keys(add)) {
		put(name, add[name])
	}
	require.NoError(t, w.Close())
	path := filepath.Join(t.TempDir(), "cases"+filepath.Ext(fixture))
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o600))
	return path
}

// planted is a name of nobody that the screen knows by its form.
const planted = "Brenka Tolmov"

// Whatever stands outside the cells of a workbook is looked at, or the file says what was
// not; of neither is anything kept or repeated. The parts are those of ECMA-376 part 1, 12 to 22.
// Its length is that of the list of parts.
func TestTextsOutsideTheCells(t *testing.T) {
	part := func(name, xml string) map[string]string { return map[string]string{name: xml} }
	for name, c := range map[string]struct {
		sheet, book string // before the end of the sheet, or of the workbook
		add         map[string]string
		unchecked   string
	}{
		"threaded comment":           {add: part("xl/threadedComments/threadedComment1.xml", `<ThreadedComments><threadedComment ref="A1" id="{1}"><text>ask Brenka Tolmov</text></threadedComment></ThreadedComments>`)},
		"person":                     {add: part("xl/persons/person.xml", `<personList><person displayName="Brenka Tolmov" id="{1}"/></personList>`)},
		"comment":                    {add: part("xl/comments9.xml", `<comments><authors><author>x</author></authors><commentList><comment ref="A1" authorId="0"><text><r><t>Brenka </t></r><r><t>Tolmov</t></r></text></comment></commentList></comments>`)},
		"comment author":             {add: part("xl/comments9.xml", `<comments><authors><author>Brenka Tolmov</author></authors><commentList/></comments>`)},
		"list of a check":            {sheet: `<dataValidations><dataValidation type="list" sqref="Z1"><formula1>"one,Brenka Tolmov"</formula1></dataValidation></dataValidations>`},
		"list of a check, extension": {sheet: `<extLst><ext><x14:dataValidations xmlns:x14="a" xmlns:xm="b"><x14:dataValidation type="list"><x14:formula1><xm:f>"Brenka Tolmov"</xm:f></x14:formula1></x14:dataValidation></x14:dataValidations></ext></extLst>`},
		"message of a check":         {sheet: `<dataValidations><dataValidation sqref="Z1" prompt="as Brenka Tolmov said"/></dataValidations>`},
		"filter":                     {sheet: `<autoFilter ref="A1:B9"><filterColumn colId="0"><filters><filter val="Brenka Tolmov"/></filters></filterColumn></autoFilter>`},
		"custom filter":              {sheet: `<autoFilter ref="A1:B9"><filterColumn colId="0"><customFilters><customFilter val="Brenka Tolmov"/></customFilters></filterColumn></autoFilter>`},
		"condition of a format":      {sheet: `<conditionalFormatting sqref="A1"><cfRule type="containsText" priority="1" text="Brenka Tolmov"><formula>1</formula></cfRule></conditionalFormatting>`},
		"formula of a condition":     {sheet: `<conditionalFormatting sqref="A1"><cfRule type="expression" priority="1"><formula>A1="Brenka Tolmov"</formula></cfRule></conditionalFormatting>`},
		"scenario":                   {sheet: `<scenarios><scenario name="a" user="Brenka Tolmov" count="0"/></scenarios>`},
		"protected range":            {sheet: `<protectedRanges><protectedRange name="Brenka Tolmov" sqref="A1"/></protectedRanges>`},
		"hyperlink":                  {sheet: `<hyperlinks><hyperlink ref="A1" location="x" tooltip="Brenka Tolmov"/></hyperlinks>`},
		"page header in pieces":      {sheet: `<headerFooter><oddHeader>&amp;L&amp;"Arial,Bold"&amp;12Brenka &amp;BTolmov</oddHeader></headerFooter>`},
		"page footer of first pages": {sheet: `<headerFooter differentFirst="1"><firstFooter>&amp;CBrenka Tolmov</firstFooter></headerFooter>`},
		"alternative text":           {sheet: `<controls><control shapeId="1"><controlPr altText="Brenka Tolmov"/></control></controls>`},
		"target of a hyperlink":      {add: part("xl/drawings/_rels/drawing9.xml.rels", `<Relationships><Relationship Id="r1" Type="hyperlink" Target="mailto:brenka.tolmov%40example.org" TargetMode="External"/></Relationships>`)},
		"path of another file":       {add: part("xl/externalLinks/_rels/externalLink9.xml.rels", `<Relationships><Relationship Id="r1" Type="externalLinkPath" Target="file:///C:/Brenka%20Tolmov.xlsx" TargetMode="External"/></Relationships>`)},
		"cells of another file":      {add: part("xl/externalLinks/externalLink9.xml", `<externalLink><externalBook><sheetDataSet><sheetData><row><cell><v>Brenka Tolmov</v></cell></row></sheetData></sheetDataSet></externalBook></externalLink>`)},
		"sheet of another file":      {add: part("xl/externalLinks/externalLink9.xml", `<externalLink><externalBook><sheetNames><sheetName val="Brenka Tolmov"/></sheetNames></externalBook></externalLink>`)},
		"defined name":               {book: `<definedNames><definedName name="Brenka_Tolmov">movements!$A$1</definedName></definedNames>`},
		"constant of a name":         {book: `<definedNames><definedName name="x">"Brenka Tolmov"</definedName></definedNames>`},
		"number of a name":           {book: `<definedNames><definedName name="x">9434765919</definedName></definedNames>`},
		"view of one who shares":     {book: `<customWorkbookViews><customWorkbookView name="Brenka Tolmov - own view"/></customWorkbookViews>`},
		"folder of the file":         {book: `<x15ac:absPath xmlns:x15ac="a" url="C:\Users\Brenka Tolmov\"/>`},
		"last one who reserved it":   {book: `<fileSharing userName="Brenka Tolmov"/>`},
		"table":                      {add: part("xl/tables/table9.xml", `<table name="t" displayName="Brenka_Tolmov"><tableColumns><tableColumn id="1" name="x"/></tableColumns></table>`)},
		"filter of a table":          {add: part("xl/tables/table9.xml", `<table name="t"><autoFilter><filterColumn><filters><filter val="Brenka Tolmov"/></filters></filterColumn></autoFilter></table>`)},
		"picture's text":             {add: part("xl/drawings/drawing9.xml", `<d><cNvPr id="1" name="Picture 1" descr="Brenka Tolmov"/></d>`)},
		"text box":                   {add: part("xl/drawings/drawing9.xml", `<d><txBody><p><r><t>Brenka </t></r><r><t>Tolmov</t></r></p></txBody></d>`)},
		"text box of the old form":   {add: part("xl/drawings/vmlDrawing9.vml", `<xml><shape><textbox><div>Brenka Tolmov</div></textbox></shape></xml>`)},
		"old drawing that is no XML": {add: part("xl/drawings/vmlDrawing9.vml", `<xml><shape><textbox><br>Brenka Tolmov</textbox></shape></xml>`), unchecked: "drawings"},
		"chart":                      {add: part("xl/charts/chart9.xml", `<c><ser><strCache><pt idx="0"><v>Brenka Tolmov</v></pt></strCache></ser></c>`)},
		"title of a chart":           {add: part("xl/charts/chart9.xml", `<c><title><p><r><t>Brenka Tolmov</t></r></p></title></c>`)},
		"pivot table":                {add: part("xl/pivotTables/pivotTable9.xml", `<pivotTableDefinition name="p" dataCaption="x"><pivotField name="Brenka Tolmov"/></pivotTableDefinition>`)},
		"data of a pivot table":      {add: part("xl/pivotCache/pivotCacheRecords9.xml", `<r><s v="Brenka Tolmov"/></r>`), unchecked: "copies of data behind pivot tables"},
		"title":                      {add: part("docProps/core.xml", `<coreProperties><title>Brenka Tolmov</title></coreProperties>`)},
		"manager":                    {add: part("docProps/app.xml", `<Properties><Manager>Tolmov</Manager></Properties>`)},
		"custom text":                {add: part("docProps/custom.xml", `<Properties><property name="x"><lpwstr>Brenka Tolmov</lpwstr></property></Properties>`)},
		"custom number":              {add: part("docProps/custom.xml", `<Properties><property name="x"><i8>9434765919</i8></property></Properties>`)},
		"custom list":                {add: part("docProps/custom.xml", `<Properties><property name="x"><vector><lpstr>Brenka Tolmov</lpstr></vector></property></Properties>`)},
		"custom date":                {add: part("docProps/custom.xml", `<Properties><property name="x"><filetime>1979-12-04T00:00:00Z</filetime></property></Properties>`)},
		"name of a custom one":       {add: part("docProps/custom.xml", `<Properties><property name="Brenka Tolmov"><bool>true</bool></property></Properties>`)},
		"picture":                    {add: part("xl/media/image9.png", "Brenka Tolmov"), unchecked: "pictures"},
		"embedded file":              {add: part("xl/embeddings/oleObject9.bin", "Brenka Tolmov"), unchecked: "embedded files"},
		"data of other programs":     {add: part("customXml/item9.xml", "<x>Brenka Tolmov</x>"), unchecked: "data of other programs"},
		"connection":                 {add: part("xl/connections.xml", "<x>Brenka Tolmov</x>"), unchecked: "connections"},
		"history of changes":         {add: part("xl/revisions/userNames.xml", `<users><userInfo name="Brenka Tolmov"/></users>`), unchecked: "other parts"},
		"any other part":             {add: part("x/y.z", "Brenka Tolmov"), unchecked: "other parts"},
	} {
		t.Run(name, func(t *testing.T) {
			path := repacked(t, "op-clean.xlsx", map[string][2]string{
				"xl/worksheets/sheet1.xml": {"</worksheet>", c.sheet + "</worksheet>"},
				"xl/workbook.xml":          {"</workbook>", c.book + "</workbook>"},
			}, c.add)
			lookedAt(t, path, c.unchecked)
		})
	}
}

// lookedAt reads a file with something planted: refused for it, or said to be unchecked and
// then not kept.
func lookedAt(t *testing.T, path, unchecked string) {
	t.Helper()
	b, err := Read(t.Context(), path, Options{})
	if unchecked == "" {
		var refused *Refused
		require.True(t, errors.As(err, &refused), "%v", err)
		require.NotEmpty(t, refused.Problems)
		assert.True(t, strings.HasPrefix(refused.Problems[0].Rule, "identifier-"), "%v", refused.Problems)
		assert.NotContains(t, strings.ToLower(err.Error()), "tolmov")
		return
	}
	require.NoError(t, err)
	assert.NotContains(t, fmt.Sprintf("%+v", *b), "Tolmov")
	for _, p := range b.Problems {
		if p.Rule == string(rules.FileUnchecked) {
			assert.Contains(t, p.Message, unchecked+" (1)")
			return
		}
	}
	t.Error("nothing is said of what was not checked")
}

// The same for OpenDocument spreadsheets (ISO/IEC 26300).
func TestTextsOutsideTheCellsOfOpenDocument(t *testing.T) {
	shape := `<table:shapes><draw:frame draw:name="x"><svg:title>%s</svg:title><draw:text-box><text:p>%s</text:p></draw:text-box></draw:frame></table:shapes>`
	for name, c := range map[string]struct {
		change    [2]string // of content.xml
		add       map[string]string
		unchecked string
	}{
		"text box":          {change: [2]string{"<table:table-column", fmt.Sprintf(shape, "", planted) + "<table:table-column"}},
		"alternative text":  {change: [2]string{"<table:table-column", fmt.Sprintf(shape, planted, "") + "<table:table-column"}},
		"box on a cell":     {change: [2]string{"<text:p>", `<draw:frame><draw:text-box><text:p>` + planted + `</text:p></draw:text-box></draw:frame><text:p>`}},
		"comment":           {change: [2]string{"<text:p>", `<office:annotation><dc:date>2025-04-01T10:00:00</dc:date><text:p>ask ` + planted + `</text:p></office:annotation><text:p>`}},
		"comment's author":  {change: [2]string{"<text:p>", `<office:annotation><dc:creator>` + planted + `</dc:creator><text:p>x</text:p></office:annotation><text:p>`}},
		"hyperlink":         {change: [2]string{"<text:p>", `<text:a xlink:href="mailto:brenka@tolmov.example"/><text:p>`}},
		"list of a check":   {change: [2]string{"<office:spreadsheet>", `<office:spreadsheet><table:content-validations><table:content-validation table:condition="of:cell-content-is-in-list(&quot;` + planted + `&quot;)"/></table:content-validations>`}},
		"message":           {change: [2]string{"<office:spreadsheet>", `<office:spreadsheet><table:content-validation><table:help-message><text:p>` + planted + `</text:p></table:help-message></table:content-validation>`}},
		"defined name":      {change: [2]string{"</office:spreadsheet>", `<table:named-expressions><table:named-range table:name="Brenka_Tolmov"/></table:named-expressions></office:spreadsheet>`}},
		"database range":    {change: [2]string{"</office:spreadsheet>", `<table:database-ranges><table:database-range table:name="Brenka_Tolmov"/></table:database-ranges></office:spreadsheet>`}},
		"filter":            {change: [2]string{"</office:spreadsheet>", `<table:database-range><table:filter><table:filter-condition table:value="` + planted + `"/></table:filter></table:database-range></office:spreadsheet>`}},
		"number format":     {change: [2]string{"<office:body>", `<number:number-style><number:text>` + planted + `</number:text></number:number-style><office:body>`}},
		"deleted cells":     {change: [2]string{"<office:spreadsheet>", `<office:spreadsheet><table:tracked-changes><text:p>` + planted + `</text:p></table:tracked-changes>`}, unchecked: "cells as they were before changes"},
		"page header":       {add: map[string]string{"styles.xml": `<s><style:header-first><text:p>` + planted + `</text:p></style:header-first></s>`}},
		"custom property":   {add: map[string]string{"meta.xml": `<m><meta:user-defined meta:name="x">` + planted + `</meta:user-defined></m>`}},
		"name of that":      {add: map[string]string{"meta.xml": `<m><meta:user-defined meta:name="` + planted + `">x</meta:user-defined></m>`}},
		"one who printed":   {add: map[string]string{"meta.xml": `<m><meta:printed-by>Tolmov</meta:printed-by></m>`}},
		"picture":           {add: map[string]string{"Pictures/1.png": planted}, unchecked: "pictures"},
		"chart in the file": {add: map[string]string{"Object 1/content.xml": planted}, unchecked: "embedded files"},
		"any other part":    {add: map[string]string{"x/y.xml": planted}, unchecked: "other parts"},
	} {
		t.Run(name, func(t *testing.T) {
			change := map[string][2]string{}
			if c.change[0] != "" {
				change["content.xml"] = c.change
			}
			lookedAt(t, repacked(t, "lo-clean.ods", change, c.add), c.unchecked)
		})
	}
}

// A comment's date is not the date of anybody, and a box on a cell is no part of its text.
func TestOpenDocumentCommentsAreNoCells(t *testing.T) {
	before, err := Read(t.Context(), filepath.Join("testdata", "files", "lo-clean.ods"), Options{})
	require.NoError(t, err)
	path := repacked(t, "lo-clean.ods", map[string][2]string{"content.xml": {"<text:p>", `<office:annotation><dc:date>2025-04-01T10:00:00</dc:date><text:p>check</text:p></office:annotation>` +
		`<draw:frame><draw:text-box><text:p>see plan</text:p></draw:text-box></draw:frame><text:p>`}}, nil)
	after, err := Read(t.Context(), path, Options{})
	require.NoError(t, err)
	assert.Equal(t, len(before.Movements), len(after.Movements))
	assert.Equal(t, before.Cases[0].Value, after.Cases[0].Value)
}
