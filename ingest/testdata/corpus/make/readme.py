"""Writes ../README.md from the truths: python3 readme.py"""
import json, glob, collections as C
T = [(f.split("/")[-1][:-11], json.load(open(f))) for f in sorted(glob.glob("../*.truth.json"))]
S = {b: json.load(open("./specs/%s.json" % b)) for b, _ in T}
def table(h, c): return "| %s | sheets |\n| --- | --- |\n" % h + "".join("| %s | %d |\n" % z for z in sorted(c.items(), key=lambda z: -z[1]))
fam = C.OrderedDict()
for b, t in T:
    k = b.split("-", 1)[1]
    while k[:3] in ("en-", "de-", "fr-", "es-", "it-", "pt-", "nl-", "pl-"): k = k[3:]
    fam.setdefault((t["kind"], k), []).append((b, t))
keys = C.Counter(k for _, t in T for k in t["facts"])
o = """# Spreadsheets as practices would keep them
All data invented; only words of the trade at large. %d sheets, %d movements. Beside each NAME.ext lies NAME.truth.json; the sheets and truths are the files at the top level only (`make/` holds scripts, specs and intermediate files). The first word after the number is the language; two words are a mixture (headings in the first, values in the second).

%s
%s
%s
%s
## How to read the truth
- Signs: extrusion +, mesial side inward +, crown mesial +, crown buccal +, mesial +, buccal +. Teeth in FDI, course 1 is the initial one, case codes are text.
- `achieved` null: not measured. `style` null: not recorded. An achieved amount with the other sign than planned moved the wrong way (in sheets of unsigned amounts it stands with a minus).
- Percent only: achieved = planned x percent / 100, not rounded to a step (compare within 0.001). Inches are turned to mm.
- `direction_known` false: no direction in the sheet and the practice has none; planned is the size.
- An empty planned cell of a wide sheet is no movement, and has no record.
- `cases` holds only what the sheet says of a case; months as YYYY-MM or YYYY-Qn; status is one of completed, discontinued, switched to fixed appliance, transferred; wear good, fair, poor; `age band` adult, teen.
- records carry `shape`, `size`, `orientation`, `staging` (combined, sequenced), `lost` where the sheet has them.
- `facts` (only in doubts) is what the practice would answer. Keys used: %s. `first course number` is the number that the initial course bears in the sheet. `positive means` is by axis (or by the sheet's own word).
- doubts: one to three answers, then everything is plain. trap: all is said somewhere in the sheet, nothing to ask, but a hasty reading goes wrong in silence. unreadable: no records; `refuse` says why and what to do. A program may ask more in a trap or refuse it: that is safe. Reading it wrong is not.
- Universal notation in doubts: every number is a tooth in FDI too.

## Layouts
| kind | layout | sheets | first |
| --- | --- | --- | --- |
""" % (len(T), sum(len(t["records"]) for _, t in T), table("kind", C.Counter(t["kind"] for _, t in T)), table("language", C.Counter(t["language"] for _, t in T)), table("program", C.Counter(t["program"] for _, t in T)),
       table("format", C.Counter((S[b]["ext"] + (" " + {"\t": "tab"}.get((S[b]["csv"] or {}).get("sep"), (S[b]["csv"] or {}).get("sep") or "") + " " + ((S[b]["csv"] or {}).get("enc") or "utf-8") if S[b]["ext"] in ("csv", "tsv") else "")) for b, _ in T)), "; ".join("`%s`" % k for k in keys))
for (k, n), v in fam.items(): o += "| %s | %s | %d | %s: %s |\n" % (k, n, len(v), v[0][0][:3], v[0][1]["layout"].replace("|", "/"))
o += """
## Make
`make/all.sh` builds everything (fixed seed; the same cells each time). words.py, core.py, layouts1-3.py and build.py make grids (specs) and truths; one writer a program: write_openpyxl.py, write_xlsxwriter.py, write_csv.py, write_r.R, node/write_npm.js, convert.sh (LibreOffice, Gnumeric). verify.py reads every sheet with another program than wrote it and compares each cell; check_truth.py checks codes, ranges, clockwise, right/left, up/down and Universal numbers without the generator's rules.
The sheets of R openxlsx name a drawing part they do not hold, and openpyxl trips over it: real files do that too.
"""
open("../README.md", "w").write(o)
