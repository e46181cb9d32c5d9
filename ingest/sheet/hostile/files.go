package hostile

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf16"
)

// Files is the collection, one file at a time: more than 222, each below 20 MB.
func Files(yield func(File) bool) {
	stopped := false
	give := func(name string, data []byte) {
		if !stopped && !yield(File{name, data}) {
			stopped = true
		}
	}
	for _, family := range []func(func(string, []byte)){sheets, cells, around, containers, texts, patterns, numbers, tables, openDocument, old} {
		if family(give); stopped {
			return
		}
	}
}

// Honest is a workbook of n movements, as a practice would send it.
func Honest(n int) []byte {
	var rows strings.Builder
	rows.WriteString(headerRow("practice", "clinician", "shape", "staging", "lost"))
	teeth := []int{11, 12, 13, 14, 15, 21, 22, 23, 24, 25, 31, 32, 33, 34, 35, 41, 42, 43, 44, 45}
	x := uint32(1)
	next := func(m int) int {
		x = x*1664525 + 1013904223 // the generator of Numerical Recipes, section 7.1
		return int(x>>8) % m
	}
	axes := []string{"rotation", "tip", "torque", "vertical"}
	styles := []string{"none", "software-suggested", "clinician-designed"}
	for i := range n {
		fmt.Fprintf(&rows, `<row r="%d">%s<c><v>1</v></c><c><v>%d</v></c>%s<c><v>-%d.%03d</v></c><c><v>%d.%03d</v></c>%s%s%s%s%s%s</row>`,
			i+2, inline(fmt.Sprintf("C-%05d", i/8)), teeth[(i%8)*2+next(2)], inline(axes[i%4]), next(20)+2, next(1000), next(18), next(1000),
			inline(styles[next(3)]), inline("P1"), inline(fmt.Sprintf("K%d", i/8%9)), inline("bevelled"), inline("combined"), inline("no"))
	}
	return workbook(worksheet("", rows.String(), ""))
}

func each(sizes []int, f func(n int)) {
	for _, n := range sizes {
		f(n)
	}
}

func many(n int, f func(i int) string) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(f(i))
	}
	return b.String()
}

// sheets: what stands around the rows of one sheet.
func sheets(give func(string, []byte)) {
	sizes := []int{100, 10_000, 99_999, 300_000}
	after := func(name string, f func(n int) string) {
		each(sizes, func(n int) {
			give(fmt.Sprintf("%s, %d.xlsx", name, n), workbook(worksheet("", small(), f(n))))
		})
	}
	after("merged areas over the whole sheet", func(n int) string {
		return `<mergeCells>` + many(n, func(i int) string { return fmt.Sprintf(`<mergeCell ref="A%d:XFD1048576"/>`, i%1000+2) }) + `</mergeCells>`
	})
	after("merged areas down one column", func(n int) string {
		return `<mergeCells>` + many(n, func(i int) string { return `<mergeCell ref="A2:A1048576"/>` }) + `</mergeCells>`
	})
	after("validations", func(n int) string {
		return `<dataValidations>` + many(n, func(i int) string {
			return fmt.Sprintf(`<dataValidation type="list" sqref="A%d"><formula1>"a,b,c"</formula1></dataValidation>`, i+1)
		}) + `</dataValidations>`
	})
	after("conditional formats", func(n int) string {
		return many(n, func(i int) string {
			return `<conditionalFormatting sqref="A1"><cfRule type="expression" priority="1"><formula>1</formula></cfRule></conditionalFormatting>`
		})
	})
	after("hyperlinks", func(n int) string {
		return `<hyperlinks>` + many(n, func(i int) string { return fmt.Sprintf(`<hyperlink ref="A%d" location="x" display="y"/>`, i+1) }) + `</hyperlinks>`
	})
	after("page texts", func(n int) string {
		return `<headerFooter>` + many(n, func(i int) string { return fmt.Sprintf(`<oddHeader>&amp;C%d</oddHeader>`, i) }) + `</headerFooter>`
	})
	each(sizes, func(n int) {
		give(fmt.Sprintf("hidden columns, %d.xlsx", n), workbook(worksheet(`<cols>`+many(n, func(i int) string { return `<col min="1" max="16384" hidden="1"/>` })+`</cols>`, small(), "")))
		give(fmt.Sprintf("empty rows, %d.xlsx", n), workbook(worksheet("", headerRow()+many(n, func(i int) string { return `<row/>` }), "")))
		give(fmt.Sprintf("hidden empty rows, %d.xlsx", n), workbook(worksheet("", headerRow()+many(n, func(i int) string { return `<row hidden="1"/>` }), "")))
		give(fmt.Sprintf("rows in pieces, %d.xlsx", n), workbook(worksheet("", headerRow()+many(n, func(i int) string { return fmt.Sprintf(`<row r="2"><c r="%s2"><v>1</v></c></row>`, column(i%1999)) }), "")))
		give(fmt.Sprintf("rows backwards, %d.xlsx", n), workbook(worksheet("", headerRow()+many(n, func(i int) string { return fmt.Sprintf(`<row r="%d"><c><v>1</v></c></row>`, n-i+1) }), "")))
	})
}

func column(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}

// cells: costly cells.
func cells(give func(string, []byte)) {
	sheet := func(name string, rows string) {
		give(name+".xlsx", workbook(worksheet("", headerRow()+rows, "")))
	}
	each([]int{1000, 20_000, 100_000}, func(n int) {
		sheet(fmt.Sprintf("cells in the last column, %d", n), many(n, func(i int) string { return fmt.Sprintf(`<row r="%d"><c r="XFD%d"><v>1</v></c></row>`, i+2, i+2) }))
		sheet(fmt.Sprintf("cells in the last column allowed, %d", n), many(n, func(i int) string { return fmt.Sprintf(`<row r="%d"><c r="BXX%d"><v>1</v></c></row>`, i+2, i+2) }))
		sheet(fmt.Sprintf("rows far apart, %d", n), many(n, func(i int) string { return fmt.Sprintf(`<row r="%d"><c><v>1</v></c></row>`, (i+1)*10) }))
		sheet(fmt.Sprintf("blank cells, %d", n), many(n/100, func(i int) string { return `<row>` + strings.Repeat(`<c/>`, 100) + `</row>` }))
		sheet(fmt.Sprintf("error cells, %d", n), many(n/10, func(i int) string {
			return `<row>` + strings.Repeat(`<c t="e"><v>#REF!</v></c>`, 10) + `</row>`
		}))
		sheet(fmt.Sprintf("formulas without values, %d", n), many(n/10, func(i int) string {
			return `<row>` + strings.Repeat(`<c><f>A1</f></c>`, 10) + `</row>`
		}))
		sheet(fmt.Sprintf("runs of text in a cell, %d", n), `<row><c t="inlineStr"><is>`+strings.Repeat(`<r><t>a</t></r>`, n)+`</is></c></row>`)
		sheet(fmt.Sprintf("guides in a cell, %d", n), `<row><c t="inlineStr"><is>`+strings.Repeat(`<rPh><t>aaaa</t></rPh>`, n)+`</is></c></row>`)
		sheet(fmt.Sprintf("escapes in a cell, %d", n), `<row>`+inline(strings.Repeat(`_x0041_`, n))+`</row>`)
		sheet(fmt.Sprintf("long texts, %d", n), many(max(n/1000, 1), func(i int) string { return `<row>` + inline(strings.Repeat("ab ", 10_000)+fmt.Sprint(i)) + `</row>` }))
		sheet(fmt.Sprintf("pieces of a value, %d", n), `<row><c t="str"><v>`+strings.Repeat(`a<!-- -->`, n)+`</v></c></row>`)
	})
	sheet("text beyond the limit", `<row>`+inline(strings.Repeat("a", 4<<20))+`</row>`)
	sheet("value beyond the limit", `<row><c t="str"><v>`+strings.Repeat("a", 4<<20)+`</v></c></row>`)
	sheet("last row", `<row r="1048576"><c r="A1048576"><v>1</v></c></row>`)
	sheet("row beyond the last", `<row r="99999999"><c><v>1</v></c></row>`)
	sheet("row of no number", `<row r="-1"><c><v>1</v></c></row>`)
	sheet("reference of no cell", `<row r="2"><c r="AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA2"><v>1</v></c></row>`)
	sheet("style of no number", `<row r="2"><c s="99999999999999999999"><v>1</v></c></row>`)
	sheet("style that is not there", `<row r="2"><c s="4000000000"><v>1</v></c></row>`)
	sheet("text that is not there", `<row r="2"><c t="s"><v>4000000000</v></c></row>`)
}

// around: the parts beside the sheets.
func around(give func(string, []byte)) {
	with := func(name string, more ...part) { give(name+".xlsx", workbook(worksheet("", small(), ""), more...)) }
	each([]int{1000, 30_000, 200_000}, func(n int) {
		with(fmt.Sprintf("cell formats, %d", n), part{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `><cellXfs>` + strings.Repeat(`<xf numFmtId="0"/>`, n) + `</cellXfs></styleSheet>`})
		with(fmt.Sprintf("number formats, %d", n), part{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `><numFmts>` + many(n, func(i int) string { return fmt.Sprintf(`<numFmt numFmtId="%d" formatCode="0.0"/>`, i+164) }) + `</numFmts><cellXfs><xf numFmtId="0"/></cellXfs></styleSheet>`})
		with(fmt.Sprintf("fonts, %d", n), part{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `><fonts>` + strings.Repeat(`<font><sz val="11"/><name val="X"/></font>`, n) + `</fonts><cellXfs><xf numFmtId="0"/></cellXfs></styleSheet>`})
		with(fmt.Sprintf("shared texts, %d", n), part{"xl/sharedStrings.xml", xmlHead + `<sst ` + mainNS + `>` + many(n, func(i int) string { return fmt.Sprintf(`<si><t>%d</t></si>`, i) }) + `</sst>`})
		with(fmt.Sprintf("empty shared texts, %d", n), part{"xl/sharedStrings.xml", xmlHead + `<sst ` + mainNS + `>` + strings.Repeat(`<si/>`, n) + `</sst>`})
		with(fmt.Sprintf("defined names, %d", n), part{"xl/workbook.xml", book(`<definedNames>` + many(n, func(i int) string { return fmt.Sprintf(`<definedName name="n%d">movements!$A$1</definedName>`, i) }) + `</definedNames>`)})
		with(fmt.Sprintf("custom properties, %d", n), part{"docProps/custom.xml", xmlHead + `<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties" xmlns:vt="http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes">` + many(n, func(i int) string {
			return fmt.Sprintf(`<property fmtid="{D5CDD505-2E9C-101B-9397-08002B2CF9AE}" pid="%d" name="p%d"><vt:lpwstr>v</vt:lpwstr></property>`, i+2, i)
		}) + `</Properties>`},
			part{"_rels/.rels", rels(relNS+"officeDocument", "xl/workbook.xml", relNS+"custom-properties", "docProps/custom.xml")})
		with(fmt.Sprintf("comments, %d", n), part{"xl/worksheets/_rels/sheet1.xml.rels", rels(relNS+"comments", "../comments1.xml")},
			part{"xl/comments1.xml", xmlHead + `<comments ` + mainNS + `><authors><author>a</author></authors><commentList>` + many(n, func(i int) string {
				return fmt.Sprintf(`<comment ref="A%d" authorId="0"><text><t>see plan %d</t></text></comment>`, i+1, i)
			}) + `</commentList></comments>`})
		with(fmt.Sprintf("relationships, %d", n), part{"xl/_rels/workbook.xml.rels", strings.Replace(rels(relNS+"worksheet", "worksheets/sheet1.xml"), `</Relationships>`, many(n, func(i int) string {
			return fmt.Sprintf(`<Relationship Id="x%d" Type="%sworksheet" Target="worksheets/sheet1.xml"/>`, i, relNS)
		})+`</Relationships>`, 1)})
		with(fmt.Sprintf("content types, %d", n), part{"[Content_Types].xml", xmlHead + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` + many(n, func(i int) string { return fmt.Sprintf(`<Override PartName="/x%d" ContentType="a"/>`, i) }) + `</Types>`})
		with(fmt.Sprintf("sheets of one part, %d", n), part{"xl/workbook.xml", xmlHead + `<workbook ` + mainNS + `><sheets>` + many(n, func(i int) string { return fmt.Sprintf(`<sheet name="s%d" sheetId="%d" r:id="rId1"/>`, i, i+1) }) + `</sheets></workbook>`})
		with(fmt.Sprintf("attributes of one element, %d", n), part{"xl/workbook.xml", book(`<x ` + many(n, func(i int) string { return fmt.Sprintf(`a%d="1" `, i) }) + `/>`)})
		with(fmt.Sprintf("elements in elements, %d", n), part{"xl/workbook.xml", book(strings.Repeat(`<x>`, n) + strings.Repeat(`</x>`, n))})
		with(fmt.Sprintf("elements in elements of styles, %d", n), part{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `>` + strings.Repeat(`<x>`, n) + strings.Repeat(`</x>`, n) + `</styleSheet>`})
		with(fmt.Sprintf("theme, %d", n), part{"xl/theme/theme1.xml", xmlHead + `<theme>` + strings.Repeat(`<a/>`, n) + `</theme>`})
		with(fmt.Sprintf("drawing, %d", n), part{"xl/drawings/drawing1.xml", xmlHead + `<d>` + strings.Repeat(`<t>text</t>`, n) + `</d>`})
		with(fmt.Sprintf("pivot cache, %d", n), part{"xl/pivotCache/pivotCacheRecords1.xml", xmlHead + `<d>` + strings.Repeat(`<s v="a"/>`, n) + `</d>`})
		with(fmt.Sprintf("chain of calculation, %d", n), part{"xl/calcChain.xml", xmlHead + `<calcChain>` + strings.Repeat(`<c r="A1"/>`, n) + `</calcChain>`})
	})
	bomb := xmlHead + `<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>`
	for _, name := range []string{"xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet1.xml", "docProps/core.xml"} {
		with("entities in "+strings.ReplaceAll(name, "/", " "), part{name, bomb + `<x>&c;</x>`})
	}
	each([]int{1 << 20, 16 << 20}, func(n int) {
		with(fmt.Sprintf("long attribute, %d", n), part{"xl/workbook.xml", book(`<x a="` + strings.Repeat("a", n) + `"/>`)})
		with(fmt.Sprintf("long name of an element, %d", n), part{"xl/workbook.xml", book(`<` + strings.Repeat("a", n) + `/>`)})
		with(fmt.Sprintf("long comment in the XML, %d", n), part{"xl/workbook.xml", book(`<!--` + strings.Repeat("a", n) + `-->`)})
		with(fmt.Sprintf("long name of a sheet, %d", n), part{"xl/workbook.xml", strings.Replace(book(""), `"movements"`, `"`+strings.Repeat("a", n)+`"`, 1)})
		with(fmt.Sprintf("long title, %d", n), part{"docProps/core.xml", xmlHead + `<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>` + strings.Repeat("a b ", n/4) + `</dc:title></cp:coreProperties>`},
			part{"_rels/.rels", rels(relNS+"officeDocument", "xl/workbook.xml", "http://schemas.openxmlformats.org/package/2006/relationships/metadata/core-properties", "docProps/core.xml")})
		with(fmt.Sprintf("long format code, %d", n), part{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `><numFmts><numFmt numFmtId="164" formatCode="` + strings.Repeat("[$-407]", n/7) + `"/></numFmts><cellXfs><xf numFmtId="164"/></cellXfs></styleSheet>`})
	})
}

// containers: the zip file itself.
func containers(give func(string, []byte)) {
	each([]int{100, 900, 5000, 60_000}, func(n int) {
		list := parts(worksheet("", small(), ""))
		for i := range n {
			list = append(list, part{fmt.Sprintf("xl/media/x%d", i), ""})
		}
		give(fmt.Sprintf("entries, %d.xlsx", n), pack(list))
		give(fmt.Sprintf("entries for the same bytes, %d.xlsx", n), overlapping(n))
	})
	zeros := strings.Repeat("\x00", 64<<20)
	spaces := strings.Repeat(" ", 32<<20)
	for _, name := range []string{"xl/media/image1.png", "xl/theme/theme1.xml", "customXml/item1.xml", "xl/printerSettings/printerSettings1.bin"} {
		give("zeros in "+strings.ReplaceAll(name, "/", " ")+".xlsx", workbook(worksheet("", small(), ""), part{name, zeros}))
	}
	for _, name := range []string{"xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet1.xml", "docProps/app.xml", "[Content_Types].xml", "xl/_rels/workbook.xml.rels"} {
		for _, p := range parts(worksheet("", small(), ""), part{"docProps/app.xml", xmlHead + "<Properties></Properties>"}) {
			if p.name == name {
				at := strings.LastIndex(p.content, "</")
				give("blanks in "+strings.ReplaceAll(name, "/", " ")+".xlsx", workbook(worksheet("", small(), ""), part{name, p.content[:at] + spaces + p.content[at:]}))
			}
		}
	}
	each([]int{0, 10, 1 << 30}, func(n int) { give(fmt.Sprintf("declares %d bytes.xlsx", n), liar(uint64(n))) })
	whole := workbook(worksheet("", small(), ""))
	for i := 1; i < 8; i++ {
		give(fmt.Sprintf("cut off at %d eighths.xlsx", i), whole[:len(whole)*i/8])
	}
	give("comment of the container.xlsx", append(whole[:len(whole)-2:len(whole)-2], append([]byte{0xff, 0xff}, make([]byte, 65535)...)...))
}

// texts with separators.
func texts(give func(string, []byte)) {
	head := strings.Join(headers, ",") + "\n"
	row := "C-1,1,13,rotation,12,8,none\n"
	each([]int{10_000, 1_000_000, 8_000_000}, func(n int) {
		text := func(name, s string) { give(fmt.Sprintf("%s, %d.csv", name, n), []byte(s)) }
		text("one line", strings.Repeat("a", n))
		text("separators", head+strings.Repeat(",", n))
		text("columns", strings.Repeat("a,", n/2))
		text("quotation marks", head+strings.Repeat(`"`, n))
		text("open quotation mark", head+`"`+strings.Repeat(row, n/len(row)))
		text("quotation marks inside", head+strings.Repeat("a\"b,1,13,rotation,12,8,none\n", n/28))
		text("quoted breaks", head+strings.Repeat("\"a\nb\",1\n", n/8))
		text("line ends", head+strings.Repeat("\n", n))
		text("carriage returns", head+strings.Repeat("\r", n))
		text("spaces", head+strings.Repeat(" ", n))
		text("zeros", head+strings.Repeat("\x00", n))
		text("bytes of no encoding", head+strings.Repeat("\xff\xfe\x80", n/3))
		text("tabs and semicolons", head+strings.Repeat("\t;|,", n/4))
		text("lines of one cell", head+strings.Repeat("a\n", n/2))
		u := utf16.Encode([]rune(head + strings.Repeat("a,", n/4)))
		b := []byte{0xff, 0xfe}
		for _, c := range u {
			b = append(b, byte(c), byte(c>>8))
		}
		text("two bytes a character", string(b))
	})
}

// patterns: texts that slow readers try over and over.
func patterns(give func(string, []byte)) {
	bits := map[string]string{
		"digits and blanks": "1 ", "digits and lines": "1-", "digits": "1", "points": "1.", "mail": "a@", "mail without end": "a.a@a.", "colons": "a:", "brackets": "(0",
		"names": "Anna ", "initials": "A. ", "capitals": "Aa", "commas": "Aa, ", "particles": "von der ", "street words": "a 1 ", "accents": "e\u0301", "joined marks": "\u0301",
		"wide digits": "１", "zero width": "\u200b", "months": "1 May ", "slashes": "1/1/", "underscores": "a_", "spaces": "  ", "planned": "planned ", "brackets of units": "(mm", "quotes": "'a",
	}
	for _, name := range slices.Sorted(maps.Keys(bits)) {
		for _, n := range []int{2000, 30_000} {
			s := strings.Repeat(bits[name], n/len(bits[name]))
			give(fmt.Sprintf("pattern in cells, %s, %d.xlsx", name, n), workbook(worksheet("", headerRow("tray")+many(20, func(i int) string {
				return fmt.Sprintf(`<row r="%d">%s<c><v>1</v></c><c><v>13</v></c>%s<c><v>4</v></c><c><v>3</v></c>%s%s</row>`, i+2, inline(fmt.Sprintf("C-%d", i)), inline("rotation"), inline("none"), inline(s+fmt.Sprint(i)))
			}), "")))
			give(fmt.Sprintf("pattern in headers, %s, %d.xlsx", name, n), workbook(worksheet("", headerRow(s, s+"a", s+"b"), "")))
		}
		give(fmt.Sprintf("pattern in codes, %s.csv", name), []byte(strings.Join(headers, ",")+"\n"+many(50, func(i int) string {
			return "\"" + strings.ReplaceAll(strings.Repeat(bits[name], 3000/len(bits[name])), `"`, "") + fmt.Sprint(i) + "\",1,13,rotation,12,8,none\n"
		})))
	}
}

// numbers that unfold.
func numbers(give func(string, []byte)) {
	for _, x := range []string{
		"1e-999999999", "1e-99999", "1e-400", "1e400", "1e308", "-1e308", "1e-308", "0x1p-1074", "0x1p1000000000", "1_000", "Inf", "NaN", "00000000000000000000001",
		"1." + strings.Repeat("0", 100_000) + "1", strings.Repeat("9", 100_000), "0." + strings.Repeat("0", 120_000) + "1", "-0", "+1", "1e1", "1e00000000000000000001",
	} {
		name := x
		if len(name) > 20 {
			name = fmt.Sprintf("%s and %d more", x[:4], len(x))
		}
		cell := `<c><v>` + x + `</v></c>`
		rows := headerRow("planned aligners") + many(50, func(i int) string {
			return fmt.Sprintf(`<row r="%d">%s<c><v>1</v></c><c><v>13</v></c>%s%s%s%s%s</row>`, i+2, inline(fmt.Sprintf("C-%d", i)), inline("rotation"), cell, cell, inline("none"), cell)
		})
		give("number "+name+".xlsx", workbook(worksheet("", rows, "")))
		give("number "+name+".csv", []byte(strings.Join(headers, ",")+"\n"+many(50, func(i int) string { return fmt.Sprintf("C-%d,1,13,rotation,%s,%s,none\n", i, x, x) })))
		give("number as a code "+name+".xlsx", workbook(worksheet("", headerRow()+strings.Repeat(`<row>`+cell+cell+cell+cell+cell+cell+`</row>`, 50), "")))
	}
}

// tables that cost much to understand.
func tables(give func(string, []byte)) {
	sheet := func(name, rows string) { give(name+".xlsx", workbook(worksheet("", rows, ""))) }
	each([]int{500, 1999}, func(n int) {
		wide := func(f func(i int) string) string {
			return `<row r="1">` + inline("case") + many(n, func(i int) string { return inline(f(i)) }) + `</row>` + many(30, func(i int) string {
				return fmt.Sprintf(`<row r="%d">%s%s</row>`, i+2, inline(fmt.Sprintf("C-%d", i)), strings.Repeat(`<c><v>3</v></c>`, n))
			})
		}
		sheet(fmt.Sprintf("columns of movements, %d", n), wide(func(i int) string {
			return fmt.Sprintf("%d rotation %s %d", 11+i%8, []string{"planned", "achieved"}[i%2], i/16)
		}))
		sheet(fmt.Sprintf("columns of one name, %d", n), wide(func(int) string { return "planned" }))
		sheet(fmt.Sprintf("columns of no meaning, %d", n), wide(func(i int) string { return fmt.Sprintf("x%d", i) }))
		sheet(fmt.Sprintf("long headers, %d", n), wide(func(i int) string { return strings.Repeat("planned rotation (deg) ", 40) + fmt.Sprint(i) }))
	})
	each([]int{1000, 20_000}, func(n int) {
		sheet(fmt.Sprintf("headers again and again, %d", n), strings.Repeat(`<row>`+many(7, func(i int) string { return inline(headers[i]) })+`</row>`, n))
		sheet(fmt.Sprintf("one movement again and again, %d", n), headerRow()+strings.Repeat(`<row>`+inline("C-1")+`<c><v>1</v></c><c><v>13</v></c>`+inline("rotation")+`<c><v>4</v></c><c><v>3</v></c>`+inline("none")+`</row>`, n))
		sheet(fmt.Sprintf("cases that are alike, %d", n), headerRow()+many(n, func(i int) string {
			return `<row>` + inline(fmt.Sprintf("C-%d", i)) + `<c><v>1</v></c><c><v>13</v></c>` + inline("rotation") + `<c><v>4</v></c><c><v>3</v></c>` + inline("none") + `</row>`
		}))
		sheet(fmt.Sprintf("rows with every fault, %d", n), headerRow()+many(n, func(i int) string {
			return `<row>` + inline("C-1") + inline("x") + inline("y") + inline("z") + inline("u") + inline("v") + inline("w") + `</row>`
		}))
		sheet(fmt.Sprintf("courses without end, %d", n), headerRow()+many(n, func(i int) string {
			return fmt.Sprintf(`<row>%s<c><v>%d</v></c><c><v>13</v></c>%s<c><v>4</v></c><c><v>3</v></c>%s</row>`, inline("C-1"), i+1, inline("rotation"), inline("none"))
		}))
		sheet(fmt.Sprintf("totals, %d", n), headerRow()+strings.Repeat(`<row>`+inline("total")+`</row>`, n))
		sheet(fmt.Sprintf("identifiers everywhere, %d", n), headerRow("tray")+many(n, func(i int) string {
			return fmt.Sprintf(`<row>%s<c><v>1</v></c><c><v>13</v></c>%s<c><v>4</v></c><c><v>3</v></c>%s%s</row>`, inline(fmt.Sprintf("C-%d", i)), inline("rotation"), inline("none"), inline(fmt.Sprintf("k%d@example.org", i)))
		}))
	})
}
