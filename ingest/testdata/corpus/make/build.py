"""Makes the specs (grids) for every writer and the truth beside every sheet: python3 build.py"""
import json, os, sys, glob
sys.path.insert(0, os.path.dirname(__file__))
from core import *
import layouts1 as L
try:
    import layouts2 as L2
except ImportError: L2 = None
import layouts3 as L3
OUT = ".."
SPEC = OUT + "/make/specs"
PROG = dict(openpyxl="Python openpyxl", xlsxwriter="Python xlsxwriter", pycsv="Python csv", R="R openxlsx", Rcsv="R write.table", node="npm exceljs", sheetjs="npm xlsx", soffice="LibreOffice", ssconvert="Gnumeric ssconvert")

def jobs():
    J = []
    def o(fn, lang, prog, ext, csv=None, **kw): J.append(("ordinary", fn, lang, prog, ext, csv, kw))
    SC, TB, CM = dict(sep=";", comma=True), dict(sep="\t"), dict(sep=",")
    # --- flat lists
    o(L.flat, "en", "openpyxl", "xlsx", keys=("clinician", "start", "status"), mform="iso")
    o(L.flat, "de", "pycsv", "csv", dict(sep=";", enc="cp1252", comma=True), keys=("practice", "status", "wear"))
    o(L.flat, "fr", "soffice", "ods", move="axdir", keys=("clinician", "age"))
    o(L.flat, "es", "R", "xlsx", move="axdir", course="ref0", keys=("shape", "size"))
    o(L.flat, "it", "Rcsv", "csv", dict(sep=";", comma=True), move="word", course="words", keys=("start", "end"), mform="slash")
    o(L.flat, "pt", "node", "xlsx", move="signed", legend="sheet")
    o(L.flat, "nl", "ssconvert", "xls", move="signed", legend="above", keys=("wear",))
    o(L.flat, "pl", "pycsv", "csv", dict(sep=";", enc="utf-8-sig", comma=True), move="axdir", keys=("clinician",))
    o(L.flat, "en", "sheetjs", "xls", tooth="unihash", keys=("practice", "clinician", "lost"))
    o(L.flat, "en", "pycsv", "csv", dict(sep=","), tooth="palmer", move="diraxis", course="ref0")
    o(L.flat, "de", "xlsxwriter", "xlsx", move="word", unitin=True, comma=True, title=True, totals=False, blanks=True)
    o(L.flat, "fr", "pycsv", "tsv", dict(sep="\t", enc="utf-16", comma=True), move="word", tooth="dot", keys=("stag",))
    o(L.flat, "es", "openpyxl", "xlsx", title=True, totals=True, blanks=True, keys=("start", "wear"), mform="long")
    o(L.flat, "it", "soffice", "xls", move="letters", legend="sheet", course="words")
    o(L.flat, "pl", "xlsxwriter", "xlsx", move="axdir", tooth="palmerwords", keys=("status", "aligners"))
    o(L.flat, "nl", "R", "xlsx", move="word", shuffle=True, keys=("start", "end", "status", "age"), mform="short")
    o(L.flat, "en", "xlsxwriter", "xlsx", move="axdir", keys=("start", "end", "age", "wear", "status", "aligners", "note"), mform="date", shuffle=True)
    o(L.flat, "de", "openpyxl", "xlsx", ("en",), move="axdir", keys=("shape", "size", "orient", "stag", "lost"))
    o(L.flat, "pt", "ssconvert", "ods", move="word", tooth="fdi", swap=True, keys=("clinician",))
    o(L.flat, "en", "Rcsv", "csv", dict(sep=","), move="signed", legend="below", tooth="uni", course="ref0")
    o(L.flat, "es", "soffice", "csv", dict(sep=";", enc="cp1252", comma=True), move="word", course="words", keys=("note",))
    o(L.flat, "fr", "node", "xlsx", move="letters", legend="below", keys=("practice",))
    # --- others
    o(L.sheet_per_course, "en", "openpyxl", "xlsx", keys=("clinician",))
    o(L.sheet_per_course, "pl", "soffice", "ods")
    o(L.sheet_per_course, "fr", "R", "xlsx", unitin=True, comma=True)
    o(L.sheet_per_patient, "de", "xlsxwriter", "xlsx")
    o(L.sheet_per_patient, "es", "ssconvert", "xls", head=False)
    o(L.sheet_per_patient, "en", "soffice", "ods", tooth="palmer")
    o(L.log_moves, "en", "node", "xlsx", mform="long", keys=("practice", "clinician", "start", "end", "status", "wear", "age", "aligners"))
    o(L.log_moves, "it", "openpyxl", "xlsx", mform="date", move="word")
    o(L.log_moves, "nl", "soffice", "xls", mform="quarter", keys=("clinician", "start", "status"))
    o(L.log_moves, "pt", "R", "xlsx", mform="iso")
    o(L.wide_pairs, "en", "openpyxl", "xlsx")
    o(L.wide_pairs, "de", "soffice", "xlsx", merged=True)
    o(L.wide_pairs, "it", "pycsv", "csv", dict(sep=";", comma=True), merged=False)
    o(L.wide_pairs, "es", "ssconvert", "xlsx", merged=True)
    o(L.wide_directions, "en", "pycsv", "csv", dict(sep=","))
    o(L.wide_directions, "fr", "xlsxwriter", "xlsx", keys=("clinician",))
    o(L.wide_directions, "pl", "Rcsv", "csv", dict(sep=";", comma=True))
    o(L.tooth_chart, "en", "xlsxwriter", "xlsx")
    o(L.tooth_chart, "de", "ssconvert", "xls", teeth=(45, 44, 43, 42, 41, 31, 32, 33, 34, 35), onesheet=False)
    o(L.tooth_chart, "en", "sheetjs", "ods", teeth=(14, 13, 12, 11, 21, 22, 23, 24), uni=True)
    o(L.case_block, "en", "openpyxl", "xlsx")
    o(L.case_block, "nl", "soffice", "ods", merged=True, totals=False)
    o(L.case_block, "pt", "pycsv", "csv", dict(sep=";", enc="cp1252", comma=True), merged=False)
    o(L.several_teeth, "en", "xlsxwriter", "xlsx")
    o(L.several_teeth, "it", "node", "xlsx", sep="+")
    o(L.several_teeth, "de", "sheetjs", "xls", sep="/")
    o(L.quadrant_digit, "en", "R", "xlsx", qform="letters")
    o(L.quadrant_digit, "fr", "pycsv", "csv", dict(sep=";", comma=True, enc="utf-8"), qform="num")
    o(L.quadrant_digit, "es", "soffice", "ods", qform="words")
    o(L.suffix, "en", "openpyxl", "xlsx", style="after")
    o(L.suffix, "de", "xlsxwriter", "xlsx", style="before")
    o(L.suffix, "fr", "ssconvert", "ods", style="words")
    o(L.suffix, "en", "sheetjs", "xls", style="after", spaced=False)
    o(L.positions, "en", "node", "xlsx")
    o(L.positions, "nl", "soffice", "xlsx")
    o(L.positions, "pl", "R", "xlsx")
    o(L.percent, "en", "xlsxwriter", "xlsx", form="fmt")
    o(L.percent, "es", "pycsv", "csv", dict(sep=";", comma=True), form="text")
    o(L.percent, "de", "soffice", "ods", form="num")
    o(L.residual, "en", "Rcsv", "csv", dict(sep=","))
    o(L.residual, "it", "openpyxl", "xlsx", comma=True)
    o(L.yesno, "en", "node", "xlsx", form="yn")
    o(L.yesno, "pl", "xlsxwriter", "xlsx", form="x")
    o(L.yesno, "pt", "ssconvert", "xls", form="10")
    o(L.ref_columns, "en", "openpyxl", "xlsx")
    o(L.ref_columns, "de", "node", "xlsx", two=True)
    o(L.ref_columns, "es", "soffice", "ods", two=True)
    o(L.sheet_per_style, "en", "sheetjs", "xlsx")
    o(L.sheet_per_style, "fr", "openpyxl", "xlsx")
    o(L.sheet_per_movement, "en", "R", "xlsx")
    o(L.sheet_per_movement, "it", "soffice", "xls")
    o(L.section_rows, "en", "openpyxl", "xlsx")
    o(L.section_rows, "nl", "ssconvert", "ods", repeat_header=True)
    o(L.stacked_forms, "en", "xlsxwriter", "xlsx")
    o(L.stacked_forms, "pl", "soffice", "xlsx")
    o(L.transposed, "en", "openpyxl", "xlsx")
    o(L.transposed, "es", "pycsv", "csv", dict(sep=";", comma=True, enc="utf-16"))
    o(L.side_by_side, "de", "openpyxl", "xlsx")
    o(L.long_plan_ach, "en", "R", "xlsx")
    o(L.long_plan_ach, "pt", "pycsv", "tsv", dict(sep="\t", comma=True))
    o(L.pair_cell, "en", "node", "xlsx", arrow="/")
    o(L.pair_cell, "fr", "xlsxwriter", "xlsx", arrow="→")
    o(L.composed_code, "nl", "openpyxl", "xlsx")
    o(L.coded, "en", "ssconvert", "xlsx", key="sheet")
    o(L.coded, "de", "openpyxl", "xlsx", key="below")
    o(L.plan_result_sheets, "en", "xlsxwriter", "xlsx")
    o(L.plan_result_sheets, "it", "sheetjs", "xls")
    o(L.sheet_per_clinician, "es", "R", "xlsx")
    o(L.style_columns, "en", "openpyxl", "xlsx")
    o(L.formulas, "en", "xlsxwriter", "xlsx")
    o(L.formulas, "de", "soffice", "xls")
    if L2:
        J += L2.jobs()
    J += L3.jobs()
    return J

def main():
    os.makedirs(SPEC, exist_ok=True); os.makedirs(OUT + "/make/truth", exist_ok=True)
    for f in glob.glob(SPEC + "/*.json") + glob.glob(OUT + "/make/truth/*.json"): os.remove(f)
    for i, (kind, fn, lang, prog, ext, csv, kw) in enumerate(jobs(), 1):
        lang2 = None
        if isinstance(csv, tuple): lang2, csv = csv[0], None
        base = "%03d-%s-%s" % (i, lang + ("-" + lang2 if lang2 else ""), fn.__name__.replace("_", "-"))
        c = Ctx(base, lang, lang2)
        fn(c, **kw)
        o = c.out
        if csv is not None: assert len(o["sheets"]) == 1, base
        spec = dict(file="%s.%s" % (base, ext), ext=ext, prog=prog, csv=csv, sheets=o["sheets"])
        for s in spec["sheets"]:
            s["name"] = s["name"].translate({ord(z): "-" for z in "[]:*?/\\"})[:31]
        assert len({s["name"].lower() for s in spec["sheets"]}) == len(spec["sheets"]), base
        n = sum(sum(1 for r in s["rows"] if any(z is not None for z in r)) for s in spec["sheets"])
        json.dump(spec, open("%s/%s.json" % (SPEC, base), "w"), ensure_ascii=False)
        t = {"language": NAMES[lang] + (" and " + NAMES[lang2] if lang2 else ""), "layout": o["layout"], "program": PROG[prog], "kind": o.get("kind", kind), "facts": o.get("facts", {}),
             "records": o["records"] if "records" in o else c.truth_records(o.get("rk", ())), "cases": o["tcases"] if "tcases" in o else c.truth_cases(o.get("ck", ()), o.get("mform", "iso"))}
        if "refuse" in o: t["refuse"] = o["refuse"]
        if t["kind"] == "unreadable": t["records"] = []
        keys = [(x["case"], x["course"], x["tooth"], x["axis"]) for x in t["records"]]
        if len(keys) != len(set(keys)): print("DUP", base)
        if not 8 <= n <= 75: print("rows", n, base)
        json.dump(t, open("%s/make/truth/%s.truth.json" % (OUT, base), "w"), ensure_ascii=False, indent=1)
    print(i, "specs")
main()
