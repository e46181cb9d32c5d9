package hostile

import (
	"fmt"
	"strings"
)

// openDocument: spreadsheets of the open standard (ISO/IEC 26300), whose cells and rows can
// stand for any number of themselves.
func openDocument(give func(string, []byte)) {
	const head = `<office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x" xmlns:draw="d" xmlns:dc="c"><office:body><office:spreadsheet>`
	cell := func(s string) string {
		return `<table:table-cell office:value-type="string"><text:p>` + s + `</text:p></table:table-cell>`
	}
	titles := `<table:table-row>` + many(len(headers), func(i int) string { return cell(headers[i]) }) + `</table:table-row>`
	table := func(name, rows string) string {
		return `<table:table table:name="` + name + `">` + rows + `</table:table>`
	}
	document := func(name, before, tables string) {
		content := xmlHead + head + before + tables + `</office:spreadsheet></office:body></office:document-content>`
		give(name+".ods", pack([]part{{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"}, {"content.xml", content}}))
	}
	rows := func(name, s string) { document(name, "", table("movements", titles+s)) }
	for _, times := range []string{"16384", "1048576", "2147483647", "9223372036854775807", "99999999999999999999"} {
		rows("a cell repeated "+times, `<table:table-row>`+strings.Replace(cell("a"), "<table:table-cell", `<table:table-cell table:number-columns-repeated="`+times+`"`, 1)+`</table:table-row>`)
		rows("a row repeated "+times, `<table:table-row table:number-rows-repeated="`+times+`">`+cell("a")+`</table:table-row>`)
		rows("a blank row repeated "+times, `<table:table-row table:number-rows-repeated="`+times+`"><table:table-cell/></table:table-row>`+titles)
		rows("a row and its cells repeated "+times, `<table:table-row table:number-rows-repeated="`+times+`"><table:table-cell table:number-columns-repeated="`+times+`" office:value-type="float" office:value="1"/></table:table-row>`)
		rows("spaces "+times, `<table:table-row>`+cell(`<text:s text:c="`+times+`"/>`)+`</table:table-row>`)
		rows("a span of "+times, `<table:table-row><table:table-cell table:number-columns-spanned="`+times+`" table:number-rows-spanned="`+times+`" office:value-type="float" office:value="1"/></table:table-row>`)
	}
	each([]int{1000, 30_000, 200_000}, func(n int) {
		repeat := func(name, s string) { rows(fmt.Sprintf("%s, %d", name, n), strings.Repeat(s, n)) }
		repeat("hidden columns in a row", `<table:table-column table:visibility="collapse"/>`)
		repeat("rows of one cell", `<table:table-row>`+cell("a")+`</table:table-row>`)
		repeat("comments on cells", `<table:table-row><table:table-cell><office:annotation><dc:creator>a</dc:creator><text:p>see plan</text:p></office:annotation></table:table-cell></table:table-row>`)
		repeat("boxes on cells", `<table:table-row><table:table-cell><draw:frame><draw:text-box><text:p>see plan</text:p></draw:text-box></draw:frame></table:table-cell></table:table-row>`)
		repeat("spans of two", `<table:table-row><table:table-cell table:number-columns-spanned="2" office:value-type="float" office:value="1"/></table:table-row>`)
		document(fmt.Sprintf("tables, %d", n), "", strings.Repeat(table("t", `<table:table-row>`+cell("a")+`</table:table-row>`), n))
		document(fmt.Sprintf("checks beside tables, %d", n), strings.Repeat(`<table:content-validation table:condition="list(&quot;a&quot;;&quot;b&quot;)"/>`, n), table("m", titles))
		document(fmt.Sprintf("tables in tables, %d", n), "", strings.Repeat(`<table:table table:name="t">`, n)+strings.Repeat(`</table:table>`, n))
		rows(fmt.Sprintf("paragraphs of a cell, %d", n), `<table:table-row><table:table-cell office:value-type="string">`+strings.Repeat(`<text:p/>`, n)+`</table:table-cell></table:table-row>`)
	})
}
