"""Writes forty sheets as practices of eight languages keep them, and what a person
intends by each. Python's own library alone; invented records."""
import csv, io, json, random, sys, zipfile
from xml.sax.saxutils import escape

OUT = sys.argv[1]
AXES = {"vertical": "mm", "rotation": "deg", "mesiodistal tip": "deg", "buccolingual torque": "deg", "mesiodistal shift": "mm", "buccolingual shift": "mm"}
TEETH = [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 37, 36, 35, 34, 33, 32, 31, 41, 42, 43, 44, 45, 46, 47]
STYLES = ["none", "software-suggested", "clinician-designed"]


def records(seed, cases=6, per=4, axes=None, refine=True, decimals=True, missing=0.0, codes="C{:02d}"):
    g = random.Random(seed)
    out = []
    for i in range(cases):
        teeth = g.sample(TEETH, per)
        for t in teeth:
            a = g.choice(axes or list(AXES))
            big = AXES[a] == "deg"
            p = g.choice([-1, 1]) * (g.randint(30, 220) / 10 if big else g.randint(4, 24) / 10)
            if not decimals and big:
                p = float(round(p))
            f = g.uniform(.45, .95)
            ach = round(p * f, 1)
            if g.random() < missing:
                ach = None
            out.append(dict(case=codes.format(i + 1), course=1, tooth=t, axis=a, planned=p, achieved=ach, style=g.choice(STYLES), direction_known=True))
        if refine and i % 2 == 0:
            r = out[-1]
            rest = round(r["planned"] * .4, 1)
            if abs(rest) >= .3:
                out.append(dict(r, course=2, planned=rest, achieved=round(rest * .7, 1), style=g.choice(STYLES)))
    return out


# ---- writers -------------------------------------------------------------
def col(n):
    s = ""
    while n:
        n, r = divmod(n - 1, 26)
        s = chr(65 + r) + s
    return s


def xlsx(path, sheets):
    z = zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED)
    names = list(sheets)
    z.writestr("[Content_Types].xml", '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>' + "".join(f'<Override PartName="/xl/worksheets/sheet{i+1}.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>' for i in range(len(names))) + "</Types>")
    z.writestr("_rels/.rels", '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>')
    z.writestr("xl/workbook.xml", '<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>' + "".join(f'<sheet name="{escape(n)}" sheetId="{i+1}" r:id="rId{i+1}"/>' for i, n in enumerate(names)) + "</sheets></workbook>")
    z.writestr("xl/_rels/workbook.xml.rels", '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">' + "".join(f'<Relationship Id="rId{i+1}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet{i+1}.xml"/>' for i in range(len(names))) + "</Relationships>")
    for i, n in enumerate(names):
        b = ['<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>']
        for r, row in enumerate(sheets[n], 1):
            b.append(f'<row r="{r}">')
            for c, v in enumerate(row, 1):
                if v is None or v == "":
                    continue
                ref = f"{col(c)}{r}"
                if isinstance(v, (int, float)):
                    b.append(f'<c r="{ref}"><v>{v}</v></c>')
                else:
                    b.append(f'<c r="{ref}" t="inlineStr"><is><t xml:space="preserve">{escape(v)}</t></is></c>')
            b.append("</row>")
        b.append("</sheetData></worksheet>")
        z.writestr(f"xl/worksheets/sheet{i+1}.xml", "".join(b))
    z.close()


def text(path, rows, sep=";", dec=",", enc="utf-8"):
    b = io.StringIO()
    w = csv.writer(b, delimiter=sep, lineterminator="\r\n")
    for r in rows:
        w.writerow(["" if v is None else (str(v).replace(".", dec) if isinstance(v, float) else v) for v in r])
    open(path, "wb").write(b.getvalue().encode(enc))


N = 300
def put(lang, layout, recs, sheets=None, rows=None, facts=None, refuse="", kind="ordinary", sep=";", dec=",", enc="utf-8", cases=None):
    global N
    N += 1
    stem = f"{OUT}/{N}-{lang}"
    if sheets:
        xlsx(stem + ".xlsx", sheets)
    else:
        text(stem + ".csv", rows, sep, dec, enc)
    names = dict(en="English", de="German", fr="French", es="Spanish", it="Italian", pt="Portuguese", nl="Dutch", pl="Polish")
    d = dict(language=names[lang], layout=layout, program="Python csv and zip", kind="unreadable" if refuse else kind, facts=facts or {}, records=recs)
    if refuse:
        d["refuse"] = refuse
    if cases:
        d["cases"] = cases
    json.dump(d, open(stem + ".truth.json", "w"), ensure_ascii=False, indent=1)


def universal(t):
    q, p = divmod(t, 10)
    return {1: 9 - p, 2: 8 + p, 3: 25 - p, 4: 24 + p}[q]


def palmer(t):
    q, p = divmod(t, 10)
    return {1: "UR", 2: "UL", 3: "LL", 4: "LR"}[q] + str(p)


DIR = {  # by axis: word for plus, word for minus
    "en": {"vertical": ("extrusion", "intrusion"), "rotation": ("mesial-in rotation", "mesial-out rotation"), "mesiodistal tip": ("mesial crown tip", "distal crown tip"), "buccolingual torque": ("buccal crown torque", "lingual crown torque"), "mesiodistal shift": ("mesialization", "distalization"), "buccolingual shift": ("buccal translation", "lingual translation")},
    "de": {"vertical": ("Extrusion", "Intrusion"), "rotation": ("Rotation mesial einwärts", "Rotation mesial auswärts"), "mesiodistal tip": ("Kronenkippung mesial", "Kronenkippung distal"), "buccolingual torque": ("Kronentorque bukkal", "Kronentorque lingual"), "mesiodistal shift": ("Mesialisierung", "Distalisierung"), "buccolingual shift": ("Translation bukkal", "Translation lingual")},
    "fr": {"vertical": ("égression", "ingression"), "rotation": ("rotation mésiale vers l'intérieur", "rotation mésiale vers l'extérieur"), "mesiodistal tip": ("version couronne mésiale", "version couronne distale"), "buccolingual torque": ("torque couronne vestibulaire", "torque couronne lingual"), "mesiodistal shift": ("mésialisation", "distalisation"), "buccolingual shift": ("translation vestibulaire", "translation linguale")},
    "es": {"vertical": ("extrusión", "intrusión"), "rotation": ("rotación mesial hacia dentro", "rotación mesial hacia fuera"), "mesiodistal tip": ("angulación corona mesial", "angulación corona distal"), "buccolingual torque": ("torque corona vestibular", "torque corona lingual"), "mesiodistal shift": ("mesialización", "distalización"), "buccolingual shift": ("traslación vestibular", "traslación lingual")},
    "it": {"vertical": ("estrusione", "intrusione"), "rotation": ("rotazione mesiale verso l'interno", "rotazione mesiale verso l'esterno"), "mesiodistal tip": ("angolazione corona mesiale", "angolazione corona distale"), "buccolingual torque": ("torque corona vestibolare", "torque corona linguale"), "mesiodistal shift": ("mesializzazione", "distalizzazione"), "buccolingual shift": ("traslazione vestibolare", "traslazione linguale")},
    "pt": {"vertical": ("extrusão", "intrusão"), "rotation": ("rotação mesial para dentro", "rotação mesial para fora"), "mesiodistal tip": ("angulação coroa mesial", "angulação coroa distal"), "buccolingual torque": ("torque coroa vestibular", "torque coroa lingual"), "mesiodistal shift": ("mesialização", "distalização"), "buccolingual shift": ("translação vestibular", "translação lingual")},
    "nl": {"vertical": ("extrusie", "intrusie"), "rotation": ("rotatie mesiaal naar binnen", "rotatie mesiaal naar buiten"), "mesiodistal tip": ("angulatie kroon mesiaal", "angulatie kroon distaal"), "buccolingual torque": ("torque kroon buccaal", "torque kroon linguaal"), "mesiodistal shift": ("mesialisatie", "distalisatie"), "buccolingual shift": ("translatie buccaal", "translatie linguaal")},
    "pl": {"vertical": ("ekstruzja", "intruzja"), "rotation": ("rotacja mezjalnie do wewnątrz", "rotacja mezjalnie na zewnątrz"), "mesiodistal tip": ("angulacja korony mezjalna", "angulacja korony dystalna"), "buccolingual torque": ("torque korony policzkowy", "torque korony językowy"), "mesiodistal shift": ("mezjalizacja", "dystalizacja"), "buccolingual shift": ("translacja policzkowa", "translacja językowa")},
}
STY = {"en": ("none", "by software", "mine"), "de": ("kein", "Software", "eigen"), "fr": ("aucun", "logiciel", "praticien"), "es": ("ninguno", "software", "doctor"), "it": ("nessuno", "software", "clinico"), "pt": ("nenhum", "software", "médico"), "nl": ("geen", "software", "behandelaar"), "pl": ("brak", "program", "lekarz")}
def d(r, lang): return DIR[lang][r["axis"]][r["planned"] < 0]
def s(r, lang): return STY[lang][STYLES.index(r["style"])]
def a(v): return None if v is None else abs(v)
def along(r): return None if r["achieved"] is None else round(r["achieved"] * (1 if r["planned"] > 0 else -1), 2)
SIG = {"facts": {"positive means": {}}}

# 1-8: plain lists, one a language, each with its own headers
HEAD = {
    "en": ["Pt. code", "Aligner set", "Tooth", "What was planned", "Plan", "Got", "Attachment by"],
    "de": ["Pat.-Kürzel", "Schienensatz", "Zahn", "Bewegung", "Soll", "Ist", "Attachment von"],
    "fr": ["Code patient", "Série d'aligneurs", "Dent", "Mouvement", "Prévu", "Obtenu", "Taquet par"],
    "es": ["Clave paciente", "Serie", "Pieza", "Movimiento", "Planificado", "Conseguido", "Atache por"],
    "it": ["Codice paz.", "Serie allineatori", "Elemento", "Movimento", "Programmato", "Ottenuto", "Attacco di"],
    "pt": ["Código", "Série", "Dente", "Movimento", "Planeado", "Conseguido", "Attachment por"],
    "nl": ["Patiëntcode", "Reeks", "Element", "Beweging", "Gepland", "Behaald", "Attachment door"],
    "pl": ["Kod pacjenta", "Seria", "Ząb", "Ruch", "Zaplanowane", "Uzyskane", "Zaczep przez"],
}
COURSE = {"en": ("first set", "refinement {}"), "de": ("Erstserie", "Nachkorrektur {}"), "fr": ("initiale", "finition {}"), "es": ("inicial", "refinamiento {}"), "it": ("iniziale", "rifinitura {}"), "pt": ("inicial", "refinamento {}"), "nl": ("eerste reeks", "verfijning {}"), "pl": ("początkowa", "korekta {}")}
def co(r, lang): return COURSE[lang][0] if r["course"] == 1 else COURSE[lang][1].format(r["course"] - 1)
for k, lang in enumerate(HEAD):
    R = records(10 + k, codes=["P-{:03d}", "F{:02d}", "D{:03d}", "H-{:02d}", "Z{:02d}", "U{:03d}", "K-{:02d}", "X{:02d}"][k])
    rows = [HEAD[lang]] + [[r["case"], co(r, lang), r["tooth"], d(r, lang), abs(r["planned"]), along(r), s(r, lang)] for r in R]
    words = dict(zip(STY[lang], ["none", "software-suggested", "clinician-designed"]))
    if k % 2:
        put(lang, "plain list, direction in the movement", R, rows=rows, facts={"style words": words})
    else:
        put(lang, "plain list, direction in the movement", R, sheets={"list": rows}, facts={"style words": words})

# 9: sign in a column of its own
R = records(30)
put("en", "a column of signs beside unsigned amounts", R, sheets={"2025": [["case", "course", "tooth", "axis", "+/-", "planned", "achieved", "attachment"]] + [[r["case"], r["course"], r["tooth"], r["axis"], "+" if r["planned"] > 0 else "-", abs(r["planned"]), along(r), r["style"]] for r in R]}, kind="trap", facts={"positive means": {}})
# 10: planned and achieved in one cell
R = records(31)
put("de", "Soll und Ist in einer Zelle: 2.0 -> 1.5", R, sheets={"Tabelle1": [["Fall", "Serie", "Zahn", "Bewegung", "Soll -> Ist", "Attachment"]] + [[r["case"], co(r, "de"), r["tooth"], d(r, "de"), f"{abs(r['planned'])} -> {along(r)}", s(r, "de")] for r in R]}, kind="trap")
# 11: two rows a movement, plan and result
R = records(32)
rows = [["Patient", "Course", "Tooth", "Movement", "Line", "Amount", "Attachment"]]
for r in R:
    rows += [[r["case"], r["course"], r["tooth"], d(r, "en"), "plan", abs(r["planned"]), r["style"]], [r["case"], r["course"], r["tooth"], d(r, "en"), "result", along(r), r["style"]]]
put("en", "two lines a movement, plan and result", R, sheets={"Sheet1": rows}, kind="trap")
# 12: Universal numbers with #
R = records(33)
put("en", "Universal numbers with #, words of the trade short", R, rows=[["ID", "Course #", "Tooth # (Universal)", "Movement", "Planned", "Achieved", "Attachment"]] + [[r["case"], r["course"], f"#{universal(r['tooth'])}", d(r, "en"), abs(r["planned"]), along(r), {"none": "no", "software-suggested": "suggested", "clinician-designed": "custom"}[r["style"]]] for r in R], sep=",", dec=".", facts={"notation": "universal", "first course number": 1})
# 13: Palmer with quadrant words
R = records(34)
put("en", "Palmer", R, sheets={"data": [["Case", "Course", "Tooth (Palmer)", "Movement", "Prescribed (mm/deg)", "Expressed (mm/deg)", "Feature"]] + [[r["case"], co(r, "en"), palmer(r["tooth"]), d(r, "en"), abs(r["planned"]), along(r), r["style"]] for r in R]})
# 14: sheet per course in French
R = records(35)
H = ["Dossier", "Dent n°", "Type de mouvement", "Valeur prévue", "Valeur obtenue", "Taquet"]
f = lambda c: [H] + [[r["case"], r["tooth"], d(r, "fr"), abs(r["planned"]), along(r), s(r, "fr")] for r in R if r["course"] == c]
put("fr", "une feuille par série", R, sheets={"Initiale": f(1), "Finition 1": f(2)})
# 15: sheet per patient in Italian
R = records(36)
sh = {}
for r in R:
    sh.setdefault(r["case"], [["serie", "dente", "movimento", "previsto", "ottenuto", "attacco"]]).append([co(r, "it"), r["tooth"], d(r, "it"), abs(r["planned"]), along(r), s(r, "it")])
put("it", "un foglio per paziente", R, sheets=sh)
# 16: direction in its own column, German, decimal comma csv latin-1
R = records(37)
axd = {"vertical": "vertikal", "rotation": "Rotation", "mesiodistal tip": "Kippung mesiodistal", "buccolingual torque": "Torque", "mesiodistal shift": "Verschiebung mesiodistal", "buccolingual shift": "Verschiebung bukkolingual"}
drd = {"vertical": ("Extrusion", "Intrusion"), "rotation": ("mesial einwärts", "mesial auswärts"), "mesiodistal tip": ("Krone mesial", "Krone distal"), "buccolingual torque": ("Krone bukkal", "Krone lingual"), "mesiodistal shift": ("mesial", "distal"), "buccolingual shift": ("bukkal", "lingual")}
put("de", "Achse und Richtung in zwei Spalten, Komma", R, rows=[["Fallnr.", "Serie", "Zahn (FDI)", "Achse", "Richtung", "geplant", "erreicht", "Einheit", "Attachment"]] + [[r["case"], co(r, "de"), r["tooth"], axd[r["axis"]], drd[r["axis"]][r["planned"] < 0], abs(r["planned"]), along(r), {"mm": "mm", "deg": "Grad"}[AXES[r["axis"]]], s(r, "de")] for r in R], enc="cp1252")
# 17: signed with a legend in Spanish
R = records(38)
axe = {"vertical": "vertical", "rotation": "rotación", "mesiodistal tip": "angulación", "buccolingual torque": "torque", "mesiodistal shift": "traslación mesiodistal", "buccolingual shift": "traslación vestibulolingual"}
put("es", "con signos y leyenda", R, sheets={"Registro": [["+ significa: extrusión; mesial hacia dentro; corona mesial; corona vestibular; traslación mesial; traslación vestibular"], [], ["Caso", "Serie", "Diente", "Tipo de movimiento", "Previsto", "Logrado", "Diseño del atache"]] + [[r["case"], co(r, "es"), r["tooth"], axe[r["axis"]], r["planned"], r["achieved"], s(r, "es")] for r in R]}, facts={"positive means": {}})
# 18: residual
R = records(39)
put("nl", "wat overbleef in plaats van wat behaald werd", R, sheets={"Blad1": [["Casus", "Reeks", "Element", "Beweging", "Gepland", "Nog te gaan", "Attachment"]] + [[r["case"], co(r, "nl"), r["tooth"], d(r, "nl"), abs(r["planned"]), round(abs(r["planned"]) - along(r), 2), s(r, "nl")] for r in R]}, kind="doubts", facts={"amounts are": {"Nog te gaan": "still missing"}})
# 19: quadrant and digit in Polish
R = records(40)
put("pl", "ćwiartka i numer zęba", R, rows=[["Pacjent", "Seria", "Ćwiartka", "Ząb", "Rodzaj ruchu", "Plan", "Wynik", "Zaczep"]] + [[r["case"], co(r, "pl"), r["tooth"] // 10, r["tooth"] % 10, d(r, "pl"), abs(r["planned"]), along(r), s(r, "pl")] for r in R], sep=";")
# 20: wide, one row a tooth, English
R = records(41, axes=["vertical", "rotation"])
seen = {}
for r in R:
    seen.setdefault((r["case"], r["course"], r["tooth"]), {})[r["axis"]] = r
put("en", "a row a tooth: rotation and vertical side by side, signed with key", R, sheets={"teeth": [["Positive: extrusion; mesial in"], ["Case", "Course", "Tooth", "Rotation planned", "Rotation achieved", "Vertical planned", "Vertical achieved", "Attachment"]] + [[k[0], k[1], k[2]] + [v.get("rotation", {}).get("planned"), v.get("rotation", {}).get("achieved"), v.get("vertical", {}).get("planned"), v.get("vertical", {}).get("achieved")] + [list(v.values())[0]["style"]] for k, v in seen.items()]})
# 21: dittos and case log in Portuguese
R = records(42)
last, rows = None, [["Código", "Série", "Dente", "Movimento", "Previsto", "Obtido", "Attachment"]]
for r in R:
    rows.append([r["case"] if r["case"] != last else "idem", co(r, "pt"), r["tooth"], d(r, "pt"), abs(r["planned"]), along(r), s(r, "pt")])
    last = r["case"]
cs = sorted({r["case"] for r in R})
put("pt", "registo de casos e movimentos, idem", R, sheets={"Casos": [["Código", "Início", "Fim", "Situação", "Colaboração"]] + [[c, "03/2024", "01/2025", "concluído", "boa"] for c in cs], "Movimentos": rows}, cases=[dict(case=c, start="2024-03", end="2025-01", status="completed", wear="good") for c in cs])
# 22: missing outcomes written as words
R = records(43, missing=.15)
put("fr", "mesures manquantes: n.m.", R, rows=[["Patient", "Phase", "Dent (FDI)", "Mouvement", "Planifié", "Réalisé", "Taquet"]] + [[r["case"], co(r, "fr"), r["tooth"], d(r, "fr"), abs(r["planned"]), "n.m." if r["achieved"] is None else along(r), s(r, "fr")] for r in R], facts={"n.m. in achieved means": "not measured"})
# 23: yes/no attachment and changed
R = records(44)
put("en", "attachment y/n and changed by me y/n", R, sheets={"Log": [["Patient ref", "Set", "Tooth FDI", "Move", "Planned mvt", "Actual mvt", "Attachment?", "Changed by me?"]] + [[r["case"], r["course"], r["tooth"], d(r, "en"), abs(r["planned"]), along(r), "N" if r["style"] == "none" else "Y", {"none": "", "software-suggested": "N", "clinician-designed": "Y"}[r["style"]]] for r in R]})
# 24: own letters for styles
R = records(45)
put("it", "lettere per l'attacco", R, rows=[["Paziente", "Fase", "Dente", "Movimento", "Pianificato", "Ottenuto", "Att."]] + [[r["case"], co(r, "it"), r["tooth"], d(r, "it"), abs(r["planned"]), along(r), {"none": "Z", "software-suggested": "S", "clinician-designed": "M"}[r["style"]]] for r in R], facts={"style words": {"Z": "none", "S": "software-suggested", "M": "clinician-designed"}}, kind="doubts")
# 25: own letters for movements
R = records(46)
L = {("vertical", 1): "EX", ("vertical", -1): "IN", ("rotation", 1): "RI", ("rotation", -1): "RA", ("mesiodistal tip", 1): "KM", ("mesiodistal tip", -1): "KD", ("buccolingual torque", 1): "TB", ("buccolingual torque", -1): "TL", ("mesiodistal shift", 1): "VM", ("mesiodistal shift", -1): "VD", ("buccolingual shift", 1): "VB", ("buccolingual shift", -1): "VL"}
W = {("vertical", 1): "extrusion", ("vertical", -1): "intrusion", ("rotation", 1): "rotation: mesial side inward", ("rotation", -1): "rotation: distal side inward", ("mesiodistal tip", 1): "mesiodistal tip: crown mesial", ("mesiodistal tip", -1): "mesiodistal tip: crown distal", ("buccolingual torque", 1): "buccolingual torque: crown buccal", ("buccolingual torque", -1): "buccolingual torque: crown lingual", ("mesiodistal shift", 1): "mesiodistal shift: mesial", ("mesiodistal shift", -1): "mesiodistal shift: distal", ("buccolingual shift", 1): "buccolingual shift: buccal", ("buccolingual shift", -1): "buccolingual shift: lingual"}
key = lambda r: (r["axis"], 1 if r["planned"] > 0 else -1)
put("de", "Kürzel für Bewegungen, ohne Schlüssel", R, sheets={"Bewegungen": [["Fall", "Serie", "Zahn", "Bew.", "Soll", "Ist", "Attachment"]] + [[r["case"], co(r, "de"), r["tooth"], L[key(r)], abs(r["planned"]), along(r), s(r, "de")] for r in R]}, kind="doubts", facts={"letters": {L[k]: W[k] for k in L}})
# 26: the same with a key on a sheet of its own
put("de", "Kürzel für Bewegungen, Schlüssel auf eigenem Blatt", R, sheets={"Bewegungen": [["Fall", "Serie", "Zahn", "Bew.", "Soll", "Ist", "Attachment"]] + [[r["case"], co(r, "de"), r["tooth"], L[key(r)], abs(r["planned"]), along(r), s(r, "de")] for r in R], "Kürzel": [["Kürzel", "Bedeutung"]] + [[L[k], DIR["de"][k[0]][k[1] < 0]] for k in L]})
# 27: amounts with units in the cells
R = records(47)
put("pl", "wartości z jednostką w komórce", R, rows=[["Kod", "Etap", "Ząb", "Ruch", "Plan", "Osiągnięto", "Attachment"]] + [[r["case"], co(r, "pl"), r["tooth"], d(r, "pl"), str(abs(r["planned"])).replace(".", ",") + (" mm" if AXES[r["axis"]] == "mm" else "°"), str(along(r)).replace(".", ",") + (" mm" if AXES[r["axis"]] == "mm" else "°"), s(r, "pl")] for r in R])
# 28: positions
R = records(48, axes=["rotation", "buccolingual torque"])
g = random.Random(1)
rows = [["Case", "Course", "Tooth", "Angle", "Before", "Target", "After", "Attachment"]]
for r in R:
    b = float(g.randint(-20, 20))
    rows.append([r["case"], r["course"], r["tooth"], {"rotation": "rotation", "buccolingual torque": "torque"}[r["axis"]], b, round(b + r["planned"], 1), round(b + r["achieved"], 1), r["style"]])
put("en", "angles before, target and after", R, sheets={"angles": rows}, kind="trap", facts={"amounts are": "positions", "positive means": {}})
# 29: percent achieved only
R = records(49)
put("es", "porcentaje logrado, sin cantidad", [dict(r, achieved=round(r["planned"] * round(along(r) / abs(r["planned"]) * 100) / 100, 6)) for r in R], sheets={"Hoja1": [["Caso", "Serie", "Pieza", "Movimiento", "Planificado", "% logrado", "Atache"]] + [[r["case"], co(r, "es"), r["tooth"], d(r, "es"), abs(r["planned"]), round(along(r) / abs(r["planned"]) * 100), s(r, "es")] for r in R]}, kind="doubts", facts={"percent means": "achieved"})
# 30: micrometres and degrees
R = records(50, axes=["vertical", "mesiodistal shift", "buccolingual shift"])
put("en", "micrometres", R, sheets={"run 3": [["specimen case", "course", "tooth", "movement", "planned [µm]", "achieved [µm]", "attachment"]] + [[r["case"], r["course"], r["tooth"], d(r, "en"), round(abs(r["planned"]) * 1000), round(along(r) * 1000), r["style"]] for r in R]})
# 31: tables for each case under one another, Dutch
R = records(51)
rows = []
for c in sorted({r["case"] for r in R}):
    rows += [[f"Casus: {c}"], ["Reeks", "Element", "Beweging", "Gepland", "Behaald", "Attachment"]]
    rows += [[co(r, "nl"), r["tooth"], d(r, "nl"), abs(r["planned"]), along(r), s(r, "nl")] for r in R if r["case"] == c] + [[]]
put("nl", "een blok per casus", R, sheets={"Blad1": rows})
# 32: no direction and no sign: sizes
R = [dict(r, planned=abs(r["planned"]), achieved=along(r), direction_known=False) for r in records(52, axes=["rotation", "buccolingual torque"])]
put("en", "sizes without direction", R, rows=[["case", "course", "tooth", "movement", "planned", "achieved", "attachment"]] + [[r["case"], r["course"], r["tooth"], r["axis"], r["planned"], r["achieved"], r["style"]] for r in R], sep=",", dec=".", kind="doubts", facts={"amounts without direction": {"rotation": "not recorded", "buccolingual torque": "not recorded"}})
# 33: course column says refinement 0, 1, 2
R = records(53)
put("fr", "finition 0, 1", R, sheets={"Suivi": [["Réf. patient", "Finition n°", "Dent", "Mouvement", "Prévu", "Mesuré", "Taquet"]] + [[r["case"], r["course"] - 1, r["tooth"], d(r, "fr"), abs(r["planned"]), along(r), s(r, "fr")] for r in R]})
# 34: movement and tooth in one cell
R = records(54)
put("en", "tooth and movement in one cell", R, sheets={"notes": [["patient", "course", "tooth and movement", "planned", "achieved", "attachment"]] + [[r["case"], r["course"], f"{r['tooth']} {d(r, 'en')}", abs(r["planned"]), along(r), r["style"]] for r in R]}, kind="trap")
# 35: several header rows with a title and units row
R = records(55)
put("it", "titolo, due righe di intestazione", R, sheets={"Verifica": [["Verifica trimestrale degli allineatori"], [], ["Paziente", "Serie", "Elemento", "Movimento", "Movimento", "Movimento", "Attacco"], ["codice", "", "FDI", "tipo", "previsto", "ottenuto", ""]] + [[r["case"], co(r, "it"), r["tooth"], d(r, "it"), abs(r["planned"]), along(r), s(r, "it")] for r in R]}, kind="trap")
# 36: subtotals between
R = records(56)
rows = [["Fall", "Serie", "Zahn", "Bewegung", "Geplant", "Erreicht", "Attachment"]]
for c in sorted({r["case"] for r in R}):
    own = [r for r in R if r["case"] == c]
    rows += [[r["case"], co(r, "de"), r["tooth"], d(r, "de"), abs(r["planned"]), along(r), s(r, "de")] for r in own]
    rows.append(["Summe", "", "", "", round(sum(abs(r["planned"]) for r in own), 1), round(sum(along(r) for r in own), 1)])
put("de", "Zwischensummen", R, sheets={"Auswertung": rows})
# 37: nothing measured: unreadable
R = records(57)
put("pl", "tylko plan", [], rows=[["Pacjent", "Seria", "Ząb", "Ruch", "Plan"]] + [[r["case"], co(r, "pl"), r["tooth"], d(r, "pl"), abs(r["planned"])] for r in R], refuse="No outcome is recorded.")
# 38: averages only: unreadable
put("pt", "médias por dente", [], sheets={"Médias": [["Dente", "Previsto médio", "Obtido médio", "n"]] + [[t, 2.1, 1.4, 9] for t in TEETH[:12]]}, refuse="Averages, no cases.")
# 39: course as date of plan per case
R = records(58)
put("nl", "datum van het plan als reeks", R, rows=[["Casus", "Plan van", "Element", "Beweging", "Gepland", "Behaald", "Attachment"]] + [[r["case"], "2024-02" if r["course"] == 1 else "2024-11", r["tooth"], d(r, "nl"), abs(r["planned"]), along(r), s(r, "nl")] for r in R], kind="trap")
# 40: mixed languages, capital headers without spaces, signed by usual key
R = records(59)
put("es", "mezcla de idiomas, mayúsculas", R, sheets={"DATA": [["PACIENTE", "CURSO", "TOOTH_FDI", "MOVIMIENTO", "PLANNED", "ACHIEVED", "ATTACHMENT"]] + [[r["case"], r["course"], r["tooth"], d(r, "es"), abs(r["planned"]), along(r), s(r, "es")] for r in R]})
