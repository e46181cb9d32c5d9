"""Fixtures of text with separators, byte by byte: python3 text_files.py OUT TABLES
TABLES receives the plain tables that other writers start from."""
import csv
import os
import sys

import data as d

OUT, TABLES = sys.argv[1], sys.argv[2]


def text(rows, sep=",", end="\n", comma=False):
    def cell(v):
        s = "" if v is None else str(v)
        if comma and isinstance(v, (int, float)):
            s = s.replace(".", ",")
        return '"%s"' % s.replace('"', '""') if sep in s or '"' in s or "\n" in s else s
    return "".join(sep.join(cell(v) for v in r) + end for r in rows)


def save(name, data):
    with open(f"{OUT}/csv-{name}", "wb") as f:
        f.write(data if isinstance(data, bytes) else data.encode())


for name, rows in [("cases", [d.CASE_HEAD] + d.CASES), ("courses", [d.COURSE_HEAD] + d.COURSES),
                   ("movements", [d.MOVE_HEAD] + d.MOVES), ("repeats", [d.REPEAT_HEAD] + d.REPEATS),
                   ("flat", [d.FLAT_HEAD] + d.flat()), ("small", [d.SMALL_HEAD] + d.SMALL)]:
    with open(os.path.join(TABLES, name + ".csv"), "w", newline="") as f:
        csv.writer(f).writerows(rows)

flat = [d.FLAT_HEAD] + d.flat()
small = [d.SMALL_HEAD] + d.SMALL
save("comma.csv", text(flat))
save("semicolon-comma.csv", text(flat, ";", "\r\n", True))
save("tab.tsv", text(flat, "\t"))
save("bar.txt", text(flat, "|"))
save("bom.csv", b"\xef\xbb\xbf" + text(flat).encode())
quoted = ",".join('"%s"' % h for h in d.FLAT_HEAD) + "\n" + text(d.flat())
save("bom-quoted.csv", b"\xef\xbb\xbf" + quoted.encode())
save("utf16le.csv", b"\xff\xfe" + text(flat, ";").encode("utf-16-le"))
save("utf16be.csv", b"\xfe\xff" + text(flat, ";").encode("utf-16-be"))
save("utf16-no-mark.csv", text(flat, "\t").encode("utf-16-le"))
save("cp1252.csv", text([d.SMALL_HEAD + ["practice"]] + [r + ["Z\u00fcrich"] for r in d.SMALL], ";").encode("cp1252"))
save("cr-only.csv", text(flat, ",", "\r"))
save("sep-line.csv", "sep=;\r\n" + text(flat, ";", "\r\n"))
save("blank-lines.csv", "\n\n" + text(small[:2]) + "\n" + text(small[2:]) + "\n\n")
save("quoted-break.csv", text([d.SMALL_HEAD + ["staging"]] + [d.SMALL[0] + ["at\nonce"]] + [r + [None] for r in d.SMALL[1:]]))
save("unclosed-quote.csv", text(small[:2]) + 'B1,"completed,1,45,vertical,-1.5,-1.25\n' + text(small[3:]))
save("bare-quote.csv", text(small[:2]) + 'B1,compl"eted,1,45,vertical,-1.5,-1.25\n' + text(small[3:]))
save("one-column.csv", "case\nB1\nB2\n")
save("empty.csv", "")
save("spaces.csv", " \n\n \n")
save("binary.csv", bytes(range(256)) * 4)
save("ragged.csv", text(small[:2]) + "B1,completed,1,45,vertical\n" + text(small[3:]))
save("thousands.csv", text(small[:1] + [["B1", "completed", 1, 43, "rotation", "1,250", "1,125"]]))
save("movements-only.csv", text([d.MOVE_HEAD] + d.MOVES))
save("cases-only.csv", text([d.CASE_HEAD] + d.CASES))
save("invented.csv", text([["invented data, no patient"]] + [[""]] + small))
save("html.xlsx", "<html><body><table><tr><td>case</td></tr></table></body></html>")
save("text.xlsx", text(small))
