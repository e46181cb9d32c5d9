"""Checks of the truth that do not use the generator's own rules."""
import json, glob, math
OUT, MK = "..", "."
AXES = {"vertical", "rotation", "mesiodistal tip", "buccolingual torque", "mesiodistal shift", "buccolingual shift"}
UNI = {}  # written out tooth by tooth
for fdi, u in zip("18 17 16 15 14 13 12 11 21 22 23 24 25 26 27 28 38 37 36 35 34 33 32 31 41 42 43 44 45 46 47 48".split(), range(1, 33)): UNI[u] = int(fdi)
def frame(t):
    """on a plane seen from occlusal, patient's right at the viewer's left for upper, at the right... : returns (mesial, buccal) unit vectors in patient's plane x = patient's left, y = anterior"""
    qd, n = divmod(t, 10)
    side = -1 if qd in (1, 4) else 1                      # x towards the patient's left
    ang = math.radians(8 + 11 * (n - 1))                  # from the midline backwards along a half circle
    pos = (side * math.sin(ang), math.cos(ang))
    buccal = pos
    mesial = (-side * math.cos(ang), math.sin(ang))       # along the arch towards the midline
    return mesial, buccal
def inward_when_clockwise(t):
    m, b = frame(t)
    # seen from occlusal: lower from above (x left is to the viewer's left when anterior is up: viewer right = patient right), upper from below (viewer right = patient left)
    vx = 1 if t < 30 else -1
    mv, bv = (vx * m[0], m[1]), (vx * b[0], b[1])
    cw = (mv[1], -mv[0])                                  # the mesial edge turns clockwise by 90 degrees
    return cw[0] * bv[0] + cw[1] * bv[1] < 0              # towards lingual
def spec(b): return json.load(open("%s/specs/%s.json" % (MK, b)))
n = 0
uni_seen = []
kinds = {}
for f in sorted(glob.glob(OUT + "/*.truth.json")):
    b = f.split("/")[-1][:-11]
    t, s = json.load(open(f)), spec(b)
    kinds[t["kind"]] = kinds.get(t["kind"], 0) + 1
    assert t["kind"] in ("ordinary", "doubts", "unreadable", "trap") and (t["kind"] == "unreadable") == ("refuse" in t) == (not t["records"]), b
    assert (t["kind"] == "doubts") == bool(t["facts"]), b
    seen = set()
    for x in t["records"]:
        n += 1
        assert x["axis"] in AXES and x["tooth"] in UNI.values() and x["course"] >= 1 and x["planned"], (b, x)
        assert x["style"] in ("none", "software-suggested", "clinician-designed", None)
        lim = 3 if x["axis"] in ("vertical", "mesiodistal shift", "buccolingual shift") else 40
        assert abs(x["planned"]) <= lim and (x["achieved"] is None or abs(x["achieved"]) <= lim * 1.2), (b, x)
        assert x["direction_known"] or x["planned"] > 0
        k = (x["case"], x["course"], x["tooth"], x["axis"]); assert k not in seen, (b, k); seen.add(k)
    codes = {c["case"] for c in t["cases"]}
    assert {x["case"] for x in t["records"]} <= codes, b
    text = json.dumps(s["sheets"], ensure_ascii=False)
    if t["kind"] in ("ordinary", "trap") and t["records"]:
        if "Universal" not in text and "universal" not in text and "FDI" not in text and not any(x["tooth"] > 32 for x in t["records"]): print("notation not plain", b)
    rows = s["sheets"][0]["rows"]
    if "clockwise" in b:
        h = next(i for i, r in enumerate(rows) if len(r) > 4)
        for r, x in zip(rows[h + 1:], t["records"]):
            cw = r[3] > 0 if isinstance(r[3], (int, float)) else r[3] in ("clockwise", "horario")
            assert (x["planned"] > 0) == (cw == inward_when_clockwise(r[2])), (b, r, x)
    if "right-left" in b:
        for r, x in zip(rows[3:], t["records"]):
            m = frame(r[2])[0]
            assert (x["planned"] > 0) == ((m[0] > 0) == (r[3] == "to the left")), (r, x)
    if "up-down" in b:
        for r, x in zip(rows[3:], t["records"]):
            out_of_bone_is_up = str(r[2])[0] in "34"
            assert (x["planned"] > 0) == ((r[3] == "up") == out_of_bone_is_up)
    for sh in s["sheets"]:                                # universal numbers, by the table written out above
        for i, r in enumerate(sh["rows"]):
            col = next((j for j, z in enumerate(r) if isinstance(z, str) and "(Universal)" in z), None)
            if col is None or len([z for z in r if z is not None]) < 6: continue
            if isinstance(r[-1], int): continue
            have = [(x["case"], x["course"], x["tooth"]) for x in t["records"]]
            for q in sh["rows"][i + 1:]:
                if len(q) > col and q[col] is not None: uni_seen.append(b); assert (str(q[0]), UNI[int(str(q[col]).strip("#"))]) in {(c, z) for c, k, z in have}, (b, q)
print(kinds, n, "records;", len(uni_seen), "universal numbers checked")
