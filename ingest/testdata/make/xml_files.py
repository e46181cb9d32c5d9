"""Fixtures of hand-written workbook XML: python3 xml_files.py OUT"""
import io
import sys
import zipfile

import data as d

OUT = sys.argv[1]
NS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
RELS = HEAD + '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">%s</Relationships>'
STYLES = HEAD + f'<styleSheet {NS}><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd"/></numFmts><fonts count="1"><font><sz val="11"/></font></fonts><fills count="1"><fill><patternFill patternType="none"/></fill></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="2"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/><xf numFmtId="164" fontId="0" fillId="0" borderId="0"/></cellXfs></styleSheet>'


def letters(n):
    return chr(64 + n)


def cell(v, row, col, ref=True, tag="c"):
    r = f' r="{letters(col)}{row}"' if ref else ""
    if v is None:
        return "" if ref else f"<{tag}{r}/>"
    if isinstance(v, str):
        return f'<{tag}{r} t="inlineStr"><is><t>{v}</t></is></{tag}>'
    return f"<{tag}{r}><v>{v}</v></{tag}>"


def row(values, n, ref=True):
    r = f' r="{n}"' if ref else ""
    return f"<row{r}>" + "".join(cell(v, n, i + 1, ref) for i, v in enumerate(values)) + "</row>"


def rows(table, ref=True):
    return [row(v, i + 1, ref) for i, v in enumerate(table)]


def sheet(rows, after=""):
    return HEAD + f"<worksheet {NS}><sheetData>{''.join(rows)}</sheetData>{after}</worksheet>"


def parts(sheet_xml, shared=None, styles=True):
    p = {
        "[Content_Types].xml": HEAD + '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>',
        "_rels/.rels": RELS % f'<Relationship Id="rId1" Type="{REL}/officeDocument" Target="xl/workbook.xml"/>',
        "xl/workbook.xml": HEAD + f'<workbook {NS}><sheets><sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/worksheets/sheet1.xml": sheet_xml,
    }
    rel = f'<Relationship Id="rId1" Type="{REL}/worksheet" Target="worksheets/sheet1.xml"/>'
    if styles:
        p["xl/styles.xml"] = STYLES
        rel += f'<Relationship Id="rId2" Type="{REL}/styles" Target="styles.xml"/>'
    if shared is not None:
        p["xl/sharedStrings.xml"] = HEAD + f"<sst {NS}>{shared}</sst>"
        rel += f'<Relationship Id="rId3" Type="{REL}/sharedStrings" Target="sharedStrings.xml"/>'
    p["xl/_rels/workbook.xml.rels"] = RELS % rel
    return p


def pack(p):
    buf = io.BytesIO()
    with zipfile.ZipFile(buf, "w", zipfile.ZIP_DEFLATED) as z:
        for name, data in p.items():
            info = zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            z.writestr(info, data)
    return buf.getvalue()


def save(name, p):
    with open(f"{OUT}/xml-{name}.xlsx", "wb") as f:
        f.write(p if isinstance(p, bytes) else pack(p))


SMALL = [d.SMALL_HEAD] + d.SMALL
good = parts(sheet(rows(SMALL)))
save("inline", good)
save("no-references", parts(sheet(rows(SMALL, False))))
rs = rows(SMALL)
save("rows-shuffled", parts(sheet([rs[2], rs[0], rs[3], rs[1]])))
rev = ["<row r=\"%d\">%s</row>" % (i + 1, "".join(cell(v, i + 1, j + 1) for j, v in reversed(list(enumerate(r))))) for i, r in enumerate(SMALL)]
save("cells-shuffled", parts(sheet(rev)))
pre = sheet(rs).replace("<", "<x:").replace("<x:/", "</x:").replace("<x:?", "<?").replace('xmlns="', 'xmlns:x="')
save("prefixed", parts(pre))
strict = {k: v.replace("http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main").replace("http://schemas.openxmlformats.org/officeDocument/2006/relationships", "http://purl.oclc.org/ooxml/officeDocument/relationships") for k, v in good.items()}
save("strict", strict)
rich = sheet(rs).replace("<is><t>completed</t></is>", "<is><r><t>com</t></r><r><rPr><b/></rPr><t>pleted</t></r><rPh sb=\"0\" eb=\"1\"><t>x</t></rPh></is>")
save("rich-text", parts(rich))
month = [["case", "status", "course", "tooth", "axis", "planned", "achieved", "start month"]]
iso = rows(SMALL)
iso[0] = row(month[0], 1)
iso[1] = iso[1].replace("</row>", '<c r="H2" t="d"><v>2024-05-17</v></c></row>')
iso[2] = iso[2].replace("</row>", '<c r="H3" s="1"><v>45429</v></c></row>')
save("iso-date", parts(sheet(iso)))
save("absolute-target", {k: v.replace('Target="worksheets', 'Target="/xl/worksheets') for k, v in good.items()})
wb = dict(good)
wb["xl/_rels/workbook.xml.rels"] = wb["xl/_rels/workbook.xml.rels"].replace("</Relationships>", f'<Relationship Id="rId8" Type="{REL}/externalLink" Target="externalLinks/externalLink1.xml"/><Relationship Id="rId9" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="vbaProject.bin"/></Relationships>')
save("links-macros", wb)

# damage: an error each, never fewer rows
SST = "".join(f"<si><t>{s}</t></si>" for s in ["case", "status", "course", "tooth", "axis", "planned", "achieved", "B1", "completed", "rotation"])
shared = ['<row r="1">%s</row>' % "".join(f'<c r="{letters(i + 1)}1" t="s"><v>{i}</v></c>' for i in range(7)),
          '<row r="2"><c r="A2" t="s"><v>7</v></c><c r="B2" t="s"><v>8</v></c><c r="C2"><v>1</v></c><c r="D2"><v>41</v></c><c r="E2" t="s"><v>9</v></c><c r="F2"><v>3</v></c><c r="G2"><v>2</v></c></row>']
save("shared", parts(sheet(shared), SST))
save("shared-index", parts(sheet([s.replace("<v>9</v>", "<v>99</v>") for s in shared]), SST))
save("shared-missing", {k: v for k, v in parts(sheet(shared), SST).items() if k != "xl/sharedStrings.xml"})
save("shared-cut", dict(parts(sheet(shared), SST), **{"xl/sharedStrings.xml": HEAD + f"<sst {NS}>{SST[:200]}"}))
save("style-index", parts(sheet(rs).replace('<c r="F2">', '<c r="F2" s="77">')))
xml = sheet(rs)
save("cut", parts(xml[:xml.index('r="A4"') + 20]))
save("cut-between-rows", parts(xml[:xml.index('<row r="4"')]))
save("two-in-one-place", parts(xml.replace('r="G3"', 'r="F3"')))
save("bad-reference", parts(xml.replace('r="G3"', 'r="G9"')))
save("bad-number", parts(xml.replace("<v>-1.5</v>", "<v>-1.5.2</v>")))
save("entities", parts(xml.replace("<worksheet", '<!DOCTYPE w [<!ENTITY a "b">]><worksheet', 1)))
save("utf16", parts(xml.replace("UTF-8", "UTF-16").encode("utf-16")))
save("cut-container", pack(good)[:-60])
save("cut-container-start", pack(good)[200:])
flip = bytearray(pack(parts(xml)))
at = flip.index(b"sheet1.xml") + 40
flip[at] ^= 0x55
save("flipped-byte", bytes(flip))
save("part-missing", {k: v for k, v in good.items() if k != "xl/worksheets/sheet1.xml"})

# files made to exhaust a machine
save("far-cell", parts(sheet(rs + ['<row r="1048577"><c r="A1048577"><v>1</v></c></row>'])))
save("far-columns", parts(sheet(rs + ["".join(f'<row r="{i}"><c r="XFD{i}"><v>1</v></c></row>' for i in range(5, 300))])))
save("ratio", parts(sheet(rs, "<!--" + " " * (8 << 20) + "-->")))
save("many-parts", dict(good, **{f"xl/x{i}.xml": "" for i in range(2100)}))

# other kinds under this name
save("old-format", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "Workbook".encode("utf-16-le"))
save("password", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 100)
