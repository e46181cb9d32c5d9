package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// xmp is the metadata packet (ISO 16684-1): the properties of the document
// information dictionary said again in Dublin Core and XMP.
func (d *Doc) xmp() []byte {
	esc := func(s string) string {
		var b strings.Builder
		_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder cannot fail
		return b.String()
	}
	date := d.meta.Date.UTC().Format("2006-01-02T15:04:05Z")
	alt := func(s string) string {
		return `<rdf:Alt><rdf:li xml:lang="x-default">` + esc(s) + `</rdf:li></rdf:Alt>`
	}
	return fmt.Appendf(nil, `<?xpacket begin="`+"\ufeff"+`" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:format>application/pdf</dc:format><dc:title>%s</dc:title><dc:description>%s</dc:description>
<dc:creator><rdf:Seq><rdf:li>%s</rdf:li></rdf:Seq></dc:creator><dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>%s</xmp:CreatorTool><xmp:CreateDate>%s</xmp:CreateDate><xmp:ModifyDate>%s</xmp:ModifyDate>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>`, alt(d.meta.Title), alt(d.meta.Subject), esc(d.meta.Author), esc(d.meta.Lang), esc(d.meta.Creator), date, date)
}

var (
	trailerRoot  = regexp.MustCompile(`/Root (\d+) 0 R`)
	trailerSize  = regexp.MustCompile(`/Size (\d+)`)
	trailerInfo  = regexp.MustCompile(`/Info (\d+) 0 R`)
	lastXref     = regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n*$`)
	metadataHead = regexp.MustCompile(`(?m)^(\d+) 0 obj\n<< /Type /Metadata`)
)

// completeCatalog adds to the catalogue what the library leaves out (fpdf
// v0.9.0): the reference to the metadata, and the wish that a window shows the
// title instead of the file's name. It is an incremental update (ISO 32000-1,
// 7.5.6): the catalogue is written once more behind the file, with a
// cross-reference section of its own.
func completeCatalog(pdf []byte) ([]byte, error) {
	tail := pdf[bytes.LastIndex(pdf, []byte("trailer")):]
	root, size, info, xref := trailerRoot.FindSubmatch(tail), trailerSize.FindSubmatch(tail), trailerInfo.FindSubmatch(tail), lastXref.FindSubmatch(tail)
	meta := metadataHead.FindSubmatch(pdf)
	if root == nil || size == nil || info == nil || xref == nil || meta == nil {
		return nil, errors.New("the PDF has no catalogue to complete")
	}
	head := fmt.Appendf(nil, "\n%s 0 obj\n<<\n/Type /Catalog\n", root[1])
	from := bytes.LastIndex(pdf, head)
	if from < 0 {
		return nil, errors.New("the catalogue of the PDF was not found")
	}
	old := pdf[from+1:]
	end := bytes.Index(old, []byte(">>\nendobj"))
	for next := end; next >= 0; { // the last of the object: dictionaries stand in it
		if more := bytes.Index(old[next+1:], []byte(">>\nendobj")); more >= 0 {
			next += 1 + more
			end = next
			continue
		}
		break
	}
	if end < 0 {
		return nil, errors.New("the catalogue of the PDF has no end")
	}
	out := bytes.Clone(pdf)
	at := len(out)
	out = append(out, old[:end]...)
	out = fmt.Appendf(out, "/Metadata %s 0 R\n/ViewerPreferences << /DisplayDocTitle true >>\n>>\nendobj\n", meta[1])
	start := len(out)
	number, err := strconv.Atoi(string(root[1]))
	if err != nil {
		return nil, fmt.Errorf("the catalogue of the PDF: %w", err)
	}
	out = fmt.Appendf(out, "xref\n%d 1\n%010d 00000 n \ntrailer\n<<\n/Size %s\n/Root %d 0 R\n/Info %s 0 R\n/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n",
		number, at, size[1], number, info[1], xref[1], start)
	return out, nil
}
