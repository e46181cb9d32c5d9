"""Fixtures written by openpyxl: /usr/bin/python3 openpyxl_files.py OUT"""
import datetime
import random
import sys

import openpyxl
from openpyxl.comments import Comment

import data as d

OUT = sys.argv[1]


def book(*sheets):
    wb = openpyxl.Workbook()
    wb.remove(wb.active)
    for name, rows in sheets:
        ws = wb.create_sheet(name)
        for row in rows:
            ws.append(row)
    return wb


def save(wb, name):
    wb.properties.creator = ""
    wb.properties.created = wb.properties.modified = datetime.datetime(2024, 1, 1)
    wb.save(f"{OUT}/op-{name}.xlsx")


def template(cases=d.CASES, courses=d.COURSES, moves=d.MOVES, repeats=d.REPEATS):
    return book(("cases", [d.CASE_HEAD] + cases), ("courses", [d.COURSE_HEAD] + courses),
                ("movements", [d.MOVE_HEAD] + moves), ("repeats", [d.REPEAT_HEAD] + repeats))


def small(rows=d.SMALL, head=d.SMALL_HEAD, name="Sheet1"):
    return book((name, [head] + rows))


def change(i, col, value, rows=d.SMALL, head=d.SMALL_HEAD):
    out = [list(r) for r in rows]
    out[i][head.index(col)] = value
    return out


def month(text, day):
    return None if text is None else datetime.date(int(text[:4]), int(text[5:]), day)


save(template(), "clean")
save(book(("all", [d.FLAT_HEAD] + d.flat())), "flat")

# columns and rows in another order
order = list(range(len(d.FLAT_HEAD)))
random.Random(1).shuffle(order)
rows = [d.FLAT_HEAD] + d.flat()
save(book(("all", [[r[i] for i in order] for r in rows])), "columns-shuffled")
save(template(moves=d.MOVES[::-1], cases=d.CASES[::-1], courses=d.COURSES[::-1]), "rows-reversed")

# dates as date cells, in both date systems
dated = [c[:4] + [month(c[4], 20), month(c[5], 3)] + c[6:] for c in d.CASES]
cdated = [c[:2] + [month(c[2], 20)] + c[3:] for c in d.COURSES]
save(template(cases=dated, courses=cdated), "dates")
wb = template(cases=dated, courses=cdated)
wb.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
save(wb, "dates-1904")
save(template(cases=[c[:4] + [c[4] and c[4][5:] + "/" + c[4][:4], c[5] and "15." + c[5][5:] + "." + c[5][:4]] + c[6:] for c in d.CASES]), "dates-text")

# teeth
save(template(moves=[m[:2] + [d.UNIVERSAL[m[2]]] + m[3:] for m in d.MOVES],
              repeats=[m[:2] + [d.UNIVERSAL[m[2]]] + m[3:] for m in d.REPEATS]), "universal")
save(template(moves=[m[:2] + [d.PALMER[m[2]]] + m[3:] for m in d.MOVES],
              repeats=[m[:2] + [d.PALMER[m[2]]] + m[3:] for m in d.REPEATS]), "palmer")
save(template(moves=[m[:2] + ["%d.%d" % divmod(m[2], 10)] + m[3:] for m in d.MOVES]), "teeth-dotted")
save(template(moves=[m[:2] + [float(m[2]) / 10] + m[3:] for m in d.MOVES]), "teeth-tenths")
save(small([["B1", "completed", 1, 13, "rotation", 12.5, 10], ["B1", "completed", 1, 21, "vertical", -1, -1]]), "teeth-undecided")
save(small([["B1", "completed", 1, 41, "rotation", 12.5, 10], ["B1", "completed", 1, 3, "vertical", -1, -1]]), "teeth-mixed")
save(small(change(0, "tooth", datetime.date(2024, 1, 3))), "teeth-date")
save(small(change(0, "tooth", 99)), "tooth-unknown")
save(small(change(0, "tooth", 55)), "tooth-deciduous")

# numbers and signs
text = [m[:4] + [str(m[4]), None if m[5] is None else str(m[5])] + m[6:] for m in d.MOVES]
save(template(moves=text), "numbers-as-text")
comma = [m[:4] + [("%s" % m[4]).replace(".", ","), m[5] if isinstance(m[5], (str, type(None))) else ("%s" % m[5]).replace(".", ",")] + m[6:] for m in d.MOVES]
save(template(moves=comma), "decimal-comma")
uni = [[x.replace("-", "\u2212") if i in (4, 5) and isinstance(x, str) and x != "not measured" else x for i, x in enumerate(m)] for m in text]
save(template(moves=uni), "unicode-minus")
paren = [[("(%s)" % x[1:] if x.startswith("-") else x) if i in (4, 5) and isinstance(x, str) else x for i, x in enumerate(m)] for m in text]
save(template(moves=paren), "parentheses")
unit = [m[:4] + ["%s %s" % (m[4], "mm" if m[6] == "mm" else "\u00b0"), m[5] if isinstance(m[5], (str, type(None))) else "%s%s" % (m[5], m[6])] + [None] + m[7:] for m in d.MOVES]
save(template(moves=unit), "units-in-cells")
SIGNS = {"rotation": ("mesial-in", "mesial-out"), "vertical": ("E", "I"), "mesiodistal tip": ("M", "D"),
         "buccolingual torque": ("buccal", "lingual"), "mesiodistal shift": ("M", "D"), "buccolingual shift": ("B", "L")}
worded = []
for m in d.MOVES:
    m = list(m)
    for i in (4, 5):
        if isinstance(m[i], (int, float)) and m[i] != 0:
            m[i] = "%s %s" % (abs(m[i]), SIGNS[m[3]][m[i] < 0])
    worded.append(m)
save(template(moves=worded), "direction-letters")
NAMES = {("vertical", 1): "extrusion", ("vertical", -1): "intrusion", ("mesiodistal tip", -1): "distal tip",
         ("buccolingual torque", -1): "lingual torque", ("mesiodistal shift", 1): "mesial shift",
         ("buccolingual shift", 1): "buccal shift"}
named = [m[:3] + [NAMES.get((m[3], (m[4] > 0) - (m[4] < 0)), m[3]), abs(m[4]),
                  abs(m[5]) if isinstance(m[5], (int, float)) else m[5]] + m[6:] for m in d.MOVES]
save(template(moves=named), "direction-names")
save(small(change(1, "axis", "intrusion", change(1, "planned", 1.5))), "sign-against-word")
save(small([r + [None] for r in d.SMALL[:1]] + [["B1", "completed", 1, 45, "vertical", -1.5, -1.25, "buccal shift"]], d.SMALL_HEAD + ["direction"]), "direction-other-axis")

# what is missing
for name, value in [("blank", None), ("code", "n/a"), ("zero", 0), ("sentinel", 999), ("dash", "-")]:
    save(small(change(0, "achieved", value)), "achieved-" + name)
save(small(change(0, "planned", None)), "planned-blank")
save(small(change(0, "achieved", "#REF!")), "error-text")
wb = small()
wb["Sheet1"]["G2"] = "#REF!"
wb["Sheet1"]["G2"].data_type = "e"
save(wb, "error-cell")
wb = small()
wb["Sheet1"]["G2"] = "=F2*0.8"
save(wb, "formula-no-value")

# words and units
save(small(change(0, "axis", "wiggle")), "axis-unknown")
save(small([r + ["deg"] for r in d.SMALL], d.SMALL_HEAD + ["unit"]), "unit-axis")
save(small([r + [s] for r, s in zip(d.SMALL, ["mine", "none", "software-suggested"])], d.SMALL_HEAD + ["style"]), "style-unknown")
save(small([d.SMALL[0] + ["none", "bevelled"], d.SMALL[1] + [None, "bevelled"], d.SMALL[2] + ["none", None]], d.SMALL_HEAD + ["style", "shape"]), "feature-style")
save(small(change(0, "planned", 250)), "amount-impossible")
save(small(change(0, "planned", 75)), "amount-unlikely")

# columns
save(small(head=["pseudonym", "case status", "course no", "tooth number", "movement type", "predicted", "actual"]), "synonyms")
save(small(head=["case", "status", "course", "tooth", "axis", "planed", "achieved"]), "column-misspelt")
save(small([r[:6] for r in d.SMALL], d.SMALL_HEAD[:6]), "column-missing")
save(small([r + [1] for r in d.SMALL], d.SMALL_HEAD + ["shoe size"]), "column-unread")
save(small([r + [1] for r in d.SMALL], ["case", "status", "course", "tooth", "axis", "predicted", "achieved", "intended"]), "column-ambiguous")
save(small([r[:2] + r[3:] for r in d.SMALL], ["case", "status", "tooth", "axis", "planned", "achieved"]), "course-missing")

# layouts
save(book(("Sheet1", [["Quarterly list"], [], ["made by hand"], d.SMALL_HEAD] + d.SMALL)), "header-row-4")
save(book(("Sheet1", [d.SMALL_HEAD] + d.SMALL[:2] + [[]] + d.SMALL[2:] + [[], ["Total", None, None, None, None, 7, 9.75]])), "totals")
save(book(("Sheet1", [d.SMALL_HEAD] + d.SMALL + [d.SMALL_HEAD] + [["B3", "completed", 1, 46, "rotation", 3, 2]])), "header-repeated")
save(book(("Sheet1", [d.SMALL_HEAD] + d.SMALL + [[], d.COURSE_HEAD, ["B1", 1, "2024-01", 10, 10]])), "tables-stacked")
save(book(("Sheet1", [d.SMALL_HEAD + [None] + d.SMALL_HEAD] + [r + [None] + r for r in d.SMALL])), "tables-beside")
wide_head = ["case", "status", "course", "45 vertical planned", "45 vertical achieved", "13 rotation planned (deg)", "13 rotation achieved (deg)", "33 torque planned", "33 torque achieved"]
wide = [["B1", "completed", 1, -1.5, -1.25, 12.5, 10, None, None], ["B2", "completed", 1, None, None, None, None, -4, 1]]
save(book(("wide", [wide_head] + wide)), "wide")
wb = book(("wide", [["case", "status", "course", "tooth", "rotation", None, "vertical", None, "torque", None],
                    [None, None, None, None, "planned", "achieved", "planned", "achieved", "planned", "achieved"],
                    ["B1", "completed", 1, 13, 12.5, 10, None, None, None, None],
                    ["B1", "completed", 1, 45, None, None, -1.5, -1.25, None, None],
                    ["B2", "completed", 1, 33, None, None, None, None, -4, 1]]))
for a in ("E1:F1", "G1:H1", "I1:J1", "A1:A2", "B1:B2", "C1:C2", "D1:D2"):
    wb["wide"].merge_cells(a)
save(wb, "wide-two-headers")
one = [["case", "completed"]]
save(book(*[(c, [["status:", "completed"], [], ["course", "tooth", "axis", "planned", "achieved"]] + [r[2:] for r in d.SMALL if r[0] == c]) for c in ("B1", "B2")]), "sheet-per-case")
wb = small()
wb["Sheet1"].merge_cells("A2:A3")
save(wb, "merged-case")

# what a person does not see, and what a workbook carries
wb = template()
wb["courses"].sheet_state = "hidden"
wb["movements"].row_dimensions[3].hidden = True
wb["movements"].column_dimensions["H"].hidden = True
save(wb, "hidden")
wb = template()
wb["cases"]["A2"].comment = Comment("checked", "x")
wb.properties.description = "Invented data for tests"
save(wb, "invented")
save(book(("instructions", [["How to fill this in"]]), ("movements", [d.SMALL_HEAD, ["EXAMPLE", "completed", 1, 13, "rotation", 1, 1]] + d.SMALL), ("notes", [["ask the lab"]])), "example-row")
save(book(("Sheet1", [])), "empty")
save(book(("Sheet1", [["hello"], ["world"]])), "no-table")
wb = small(change(0, "case", "x"))
wb["Sheet1"]["A2"] = "=1+1|x"
wb["Sheet1"]["A2"].data_type = "s"
save(wb, "formula-like")

# records
save(small(d.SMALL + [d.SMALL[0]]), "duplicate-same")
save(small(d.SMALL + [change(0, "achieved", 9)[0]]), "duplicate-different")
save(small(change(1, "status", "discontinued")), "case-conflict")
save(template(cases=change(0, "end month", "2023-12", d.CASES, d.CASE_HEAD)), "end-before-start")
save(template(cases=d.CASES[:2]), "case-unlisted")
save(template(cases=change(0, "refinements", 3, d.CASES, d.CASE_HEAD)), "refinement-count")
save(template(courses=change(1, "start month", "2024-01", d.COURSES, d.COURSE_HEAD)), "course-order")
save(template(courses=change(1, "course", 3, d.COURSES, d.COURSE_HEAD), moves=change(3, "course", "R2", d.MOVES, d.MOVE_HEAD)), "course-gap")

# declared in a mapping file
res = [list(r) for r in d.SMALL]
for r in res:
    r[6] = {10: 2.5, -1.25: -0.25, 1: -5}[r[6]]
save(small(res, d.SMALL_HEAD[:6] + ["residual"]), "residual")
pos = [r[:5] + [5, p, a] for r, p, a in zip(d.SMALL, [17.5, 3.5, 1], [15, 3.75, 6])]
save(small(pos, d.SMALL_HEAD[:5] + ["start position", "planned", "end position"]), "positions")
save(small([r + [p] for r, p in zip(d.SMALL, [0.8, 0.83, -0.25])], d.SMALL_HEAD + ["accuracy"]), "percent")
save(small([r[:5] + [-r[5] if r[4] == "vertical" else r[5], -r[6] if r[4] == "vertical" else r[6]] for r in d.SMALL]), "opposite-sign")
save(small([["B1", "completed", 1, 43, "rotation", 12.5, 10, "03/04/2024"]], d.SMALL_HEAD + ["start month"]), "dates-ambiguous")
save(small([[r[0], "done", r[2], r[3], r[4], r[5], r[6]] for r in d.SMALL], ["Fall", "Stand", "Serie", "Zahn", "Achse", "Soll", "Ist"], "Daten"), "other-language")
