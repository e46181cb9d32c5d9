"""Sheets 349 to 360: twelve of twenty that were written, with their truth, before any of them was
read, by one who knew the reader: names of teeth in full, quadrants in letters, teeth across,
two lists of cases, percentages, zeros, notes below. Run in the folder above: python3 make/habits.py"""
import csv, json
from openpyxl import Workbook

S, C, N = "software-suggested", "clinician-designed", "none"
KEYS = ("case", "course", "tooth", "axis", "planned", "achieved", "style")

def truth(name, language, layout, records, facts=None, kind="doubts", cases=None, program="Python openpyxl"):
    t = {"language": language, "layout": layout, "program": program, "kind": kind, "facts": facts or {},
         "records": [dict(zip(KEYS, r), direction_known=True) for r in records]}
    if cases: t["cases"] = cases
    with open(name + ".truth.json", "w", encoding="utf-8") as f:
        json.dump(t, f, ensure_ascii=False, indent=1); f.write("\n")

def book(name, sheets, merge=None):
    wb = Workbook(); wb.remove(wb.active)
    for title, rows in sheets:
        ws = wb.create_sheet(title)
        for r in rows: ws.append(r)
        for m in (merge or {}).get(title, []): ws.merge_cells(m)
    wb.save(name + ".xlsx")

def text(name, rows, sep=";", enc="utf-8"):
    with open(name + ".csv", "w", newline="", encoding=enc) as f:
        csv.writer(f, delimiter=sep, lineterminator="\r\n").writerows([["" if c is None else c for c in r] for r in rows])

usual = {"positive means": {"rotation": "mesial side inward"}}

book("349-en-names-in-full", [("Audit", [
    ["Aligner audit, spring list"], [],
    ["Case ref", "Clinician", "Debond date", "Stage", "Tooth", "Movement", "Planned", "Achieved", "Attachment"],
    ["H-11", "JB", "03/04/2025", "Initial", "Upper right first molar", "Intrusion", 0.6, 0.4, "None"],
    ["H-11", "JB", "03/04/2025", "Initial", "Upper left canine", "Extrusion", 1.1, 0.7, "Software"],
    ["H-11", "JB", "03/04/2025", "Refinement 1", "Upper left canine", "Extrusion", 0.4, 0.3, "Clinician"],
    ["H-14", "MO", "23/04/2025", "Initial", "Lower right second premolar", "Extrusion", 0.9, 0.5, "Clinician"],
    ["H-14", "MO", "23/04/2025", "Initial", "Lower left central incisor", "Intrusion", 0.7, 0.5, "None"],
    ["H-14", "MO", "23/04/2025", "Initial", "Upper right lateral incisor", "Extrusion", 1.3, 0.6, "Software"],
    [], ["* all amounts in mm"], ["n = 6 movements"]])])
truth("349-en-names-in-full", "English", "teeth named in full, notes below the table", [
    ("H-11", 1, 16, "vertical", -0.6, -0.4, N), ("H-11", 1, 23, "vertical", 1.1, 0.7, S), ("H-11", 2, 23, "vertical", 0.4, 0.3, C),
    ("H-14", 1, 45, "vertical", 0.9, 0.5, C), ("H-14", 1, 31, "vertical", -0.7, -0.5, N), ("H-14", 1, 12, "vertical", 1.3, 0.6, S)])

text("350-fr-quadrants", [
    ["Dossier", "Série", "Quadrant", "Dent", "Mouvement", "Prévu (mm)", "Obtenu (mm)", "Taquet"],
    ["F1", "initiale", "SD", 3, "extrusion", "1,2", "0,8", "logiciel"], ["F1", "initiale", "SG", 4, "intrusion", "0,8", "0,5", "aucun"],
    ["F1", "initiale", "IG", 1, "intrusion", "0,5", "0,4", "aucun"], ["F2", "initiale", "ID", 5, "extrusion", "0,9", "0,3", "praticien"],
    ["F2", "finition 1", "ID", 5, "extrusion", "0,4", "0,3", "praticien"]], enc="cp1252")
truth("350-fr-quadrants", "French", "SD, SG, IG and ID in a column of quadrants", [
    ("F1", 1, 13, "vertical", 1.2, 0.8, S), ("F1", 1, 24, "vertical", -0.8, -0.5, N), ("F1", 1, 31, "vertical", -0.5, -0.4, N),
    ("F2", 1, 45, "vertical", 0.9, 0.3, C), ("F2", 2, 45, "vertical", 0.4, 0.3, C)], program="Python csv")

book("351-es-ficha", [("Ficha", [
    ["Código del caso", "E-07"], ["Inicio", "marzo 2024"], ["Fin", "febrero 2025"], ["Estado", "terminado"], ["Fase", "inicial"], [],
    ["Diente", "Movimiento", "Planificado", "Logrado", "Atache"],
    ["SD3", "extrusión", 1.4, 0.9, "programa"], ["SI2", "intrusión", 0.6, 0.5, "ninguno"], ["II4", "extrusión", 0.8, 0.4, "ortodoncista"],
    ["ID6", "intrusión", 0.5, 0.2, "ninguno"], ["SI3", "extrusión", 1.1, 0.9, "programa"]])])
truth("351-es-ficha", "Spanish", "one file a case, what is known of it above the table; SD, SI, II and ID before the number", [
    ("E-07", 1, 13, "vertical", 1.4, 0.9, S), ("E-07", 1, 22, "vertical", -0.6, -0.5, N), ("E-07", 1, 34, "vertical", 0.8, 0.4, C),
    ("E-07", 1, 46, "vertical", -0.5, -0.2, N), ("E-07", 1, 23, "vertical", 1.1, 0.9, S)],
    cases=[{"case": "E-07", "start": "2024-03", "end": "2025-02", "status": "completed"}])

book("352-pt-grelha", [("Caso P-3", [
    ["Caso P-3", None, None, None, None, None], ["Série inicial"],
    ["Movimento", "Medida", 13, 12, 22, 23],
    ["Extrusão", "planeado", 0.8, 1.1, None, 0.6], ["Extrusão", "alcançado", 0.6, 0.5, None, 0.6],
    ["Intrusão", "planeado", None, None, 0.7, None], ["Intrusão", "alcançado", None, None, 0.4, None],
    ["Attachment", None, "software", "nenhum", "nenhum", "ortodontista"]])])
truth("352-pt-grelha", "Portuguese", "teeth across, movement and measure in two columns, the attachment in a row below", [
    ("P-3", 1, 13, "vertical", 0.8, 0.6, S), ("P-3", 1, 12, "vertical", 1.1, 0.5, N), ("P-3", 1, 23, "vertical", 0.6, 0.6, C), ("P-3", 1, 22, "vertical", -0.7, -0.4, N)])

text("353-pl-nazwy", [
    ["Przypadek", "Etap", "Ząb", "Ruch", "Plan [mm]", "Wynik [mm]", "Zaczep"],
    ["W1", "początkowy", "kieł górny prawy", "ekstruzja", "1,0", "0,6", "program"], ["W1", "początkowy", "drugi przedtrzonowiec dolny lewy", "intruzja", "0,7", "0,5", "brak"],
    ["W2", "początkowy", "pierwszy trzonowiec górny lewy", "intruzja", "0,5", "0,2", "brak"], ["W2", "początkowy", "siekacz boczny górny prawy", "ekstruzja", "1,2", "0,5", "lekarz"],
    ["W2", "korekta 1", "siekacz boczny górny prawy", "ekstruzja", "0,5", "0,4", "lekarz"]])
truth("353-pl-nazwy", "Polish", "teeth named in full", [
    ("W1", 1, 13, "vertical", 1.0, 0.6, S), ("W1", 1, 35, "vertical", -0.7, -0.5, N), ("W2", 1, 26, "vertical", -0.5, -0.2, N), ("W2", 1, 12, "vertical", 1.2, 0.5, C), ("W2", 2, 12, "vertical", 0.5, 0.4, C)], program="Python csv")

book("354-en-us-codes", [("Log", [
    ["Pt code", "Start", "Finish", "Series", "Tooth #", "Move", "Plan", "Actual", "Att."],
    ["US-01", "01/22/2024", "02/14/2025", 1, 8, "Ext", 0.9, 0.6, "S"], ["US-01", "01/22/2024", "02/14/2025", 1, 11, "Int", 0.7, 0.4, "D"],
    ["US-01", "01/22/2024", "02/14/2025", 2, 11, "Int", 0.3, 0.3, "D"], ["US-02", "03/05/2024", "05/30/2025", 1, 28, "Ext", 1.2, 0.5, "0"],
    ["US-02", "03/05/2024", "05/30/2025", 1, 6, "Int", 0.5, 0.5, "0"], ["US-02", "03/05/2024", "05/30/2025", 1, 2, "Int", 0.6, 0.1, "S"]]),
    ("Key", [["Code", "Meaning"], ["S", "software placed it"], ["D", "doctor placed it"], ["0", "no attachment"], ["Ext", "extrusion, mm"], ["Int", "intrusion, mm"], ["Tooth #", "Universal numbering"]])])
truth("354-en-us-codes", "English", "codes with a key on a sheet of its own, teeth 1 to 32", [
    ("US-01", 1, 11, "vertical", 0.9, 0.6, S), ("US-01", 1, 23, "vertical", -0.7, -0.4, C), ("US-01", 2, 23, "vertical", -0.3, -0.3, C),
    ("US-02", 1, 44, "vertical", 1.2, 0.5, N), ("US-02", 1, 13, "vertical", -0.5, -0.5, N), ("US-02", 1, 17, "vertical", -0.6, -0.1, S)],
    {"notation": "universal", "style words": {"S": S, "D": C, "0": N}},
    cases=[{"case": "US-01", "start": "2024-01", "end": "2025-02"}, {"case": "US-02", "start": "2024-03", "end": "2025-05"}])

ch = ["Case", "Started", "Ended", "Outcome of treatment"]
book("355-en-two-case-lists", [
    ("Cases 2024", [ch, ["K-01", "2023-05", "2024-06", "all done"], ["K-02", "2023-07", "2024-09", "went to brackets"], ["K-03", "2023-08", "2024-11", "all done"]]),
    ("Cases 2025", [ch, ["K-04", "2024-02", "2025-03", "all done"], ["K-05", "2024-03", "2025-01", "gave up"], ["K-06", "2024-05", "2025-06", "went to brackets"]]),
    ("Moves", [["Case", "Round", "Tooth", "Movement", "Planned", "Achieved", "Attachment"]] + [
        [c, 1, t, m, p, a, s] for c, t, m, p, a, s in [("K-01", 13, "extrusion", 1, 0.7, "none"), ("K-02", 23, "intrusion", 0.8, 0.5, "software"), ("K-03", 33, "extrusion", 0.6, 0.5, "clinician"),
                                                       ("K-04", 43, "intrusion", 0.5, 0.5, "none"), ("K-05", 14, "extrusion", 0.9, 0.3, "software"), ("K-06", 24, "intrusion", 0.7, 0.2, "none")]])])
truth("355-en-two-case-lists", "English", "two lists of cases, a sheet a year, with words of their own for the status", [
    ("K-01", 1, 13, "vertical", 1, 0.7, N), ("K-02", 1, 23, "vertical", -0.8, -0.5, S), ("K-03", 1, 33, "vertical", 0.6, 0.5, C), ("K-04", 1, 43, "vertical", -0.5, -0.5, N),
    ("K-05", 1, 14, "vertical", 0.9, 0.3, S), ("K-06", 1, 24, "vertical", -0.7, -0.2, N)],
    cases=[{"case": "K-01", "start": "2023-05", "end": "2024-06", "status": "completed"}, {"case": "K-02", "status": "switched to fixed appliance"}, {"case": "K-05", "status": "discontinued"}, {"case": "K-06", "status": "switched to fixed appliance"}])

book("356-fr-dents-en-colonnes", [("Tableau", [
    ["Patient", "Mesure", 14, 13, 23, 24, 33, 43],
    ["G1", "extrusion prévue", 0.8, 1.1, None, 0.6, None, None], ["G1", "extrusion obtenue", 0.6, 0.5, None, 0.6, None, None],
    ["G1", "intrusion prévue", None, None, 0.7, None, 0.5, None], ["G1", "intrusion obtenue", None, None, 0.4, None, 0.5, None],
    ["G2", "extrusion prévue", None, 0.9, 1.0, None, None, 0.4], ["G2", "extrusion obtenue", None, 0.7, 0.6, None, None, 0.3]])])
truth("356-fr-dents-en-colonnes", "French", "teeth across, movement and measure in one label, several patients, no attachments", [
    ("G1", 1, 14, "vertical", 0.8, 0.6, None), ("G1", 1, 13, "vertical", 1.1, 0.5, None), ("G1", 1, 24, "vertical", 0.6, 0.6, None), ("G1", 1, 23, "vertical", -0.7, -0.4, None), ("G1", 1, 33, "vertical", -0.5, -0.5, None),
    ("G2", 1, 13, "vertical", 0.9, 0.7, None), ("G2", 1, 23, "vertical", 1.0, 0.6, None), ("G2", 1, 43, "vertical", 0.4, 0.3, None)])

text("357-en-in-percent", [
    ["S.No", "Case ID", "Aligner set", "Tooth no.", "Movement", "Planned (mm)", "Expressed", "Attachment by"],
    [1, "IN-01", "first", 11, "Extrusion", "0.8", "75%", "software"], [2, "IN-01", "first", 22, "Intrusion", "0.6", "50 %", "nil"], [3, "IN-02", "first", 43, "Extrusion", "1.0", "80%", "doctor"],
    [4, "IN-02", "second", 43, "Extrusion", "0.5", "60%", "doctor"], ["", "Average", "", "", "", "0.73", "66%", ""]], ",")
truth("357-en-in-percent", "English", "outcomes in percent, a serial number before the code, averages below", [
    ("IN-01", 1, 11, "vertical", 0.8, 0.6, S), ("IN-01", 1, 22, "vertical", -0.6, -0.3, N), ("IN-02", 1, 43, "vertical", 1.0, 0.8, C), ("IN-02", 2, 43, "vertical", 0.5, 0.3, C)],
    {"percent means": "achieved", "style words": {"nil": N, "doctor": C}}, program="Python csv")

book("358-es-trimestres", [("Casos", [
    ["Caso", "Dr.", "Trimestre de fin", "Serie", "Pieza", "Vertical (mm)", None, "Rotación (°)", None, "Atache"],
    [None, None, None, None, None, "plan", "real", "plan", "real", None],
    ["M-1", "AG", "1T 2025", 1, 13, "-0,8", "-0,5", 12, 9, "software"], ["M-1", "AG", "1T 2025", 1, 23, "1,1", "0,6", -10, -8, "no"], ["M-2", "LP", "2T 2025", 1, 35, "-0,4", "-0,4", 6, 6, "doctor"], ["M-2", "LP", "2T 2025", 2, 35, "0,3", "0,2", -3, -2, "doctor"],
    [], ["Signos: + extrusión, - intrusión; rotación + mesial hacia dentro (lingual)"]])], {"Casos": ["F1:G1", "H1:I1"]})
truth("358-es-trimestres", "Spanish", "quarters, initials of clinicians, signs explained below", [
    ("M-1", 1, 13, "vertical", -0.8, -0.5, S), ("M-1", 1, 13, "rotation", 12, 9, S), ("M-1", 1, 23, "vertical", 1.1, 0.6, N), ("M-1", 1, 23, "rotation", -10, -8, N),
    ("M-2", 1, 35, "vertical", -0.4, -0.4, C), ("M-2", 1, 35, "rotation", 6, 6, C), ("M-2", 2, 35, "vertical", 0.3, 0.2, C), ("M-2", 2, 35, "rotation", -3, -2, C)], usual,
    cases=[{"case": "M-1", "end": "2025-Q1"}, {"case": "M-2", "end": "2025-Q2"}])

text("359-de-zahnart", [
    ["Fall", "Runde", "Kiefer", "Seite", "Zahnart", "Bewegung", "Soll", "Ist", "Attachment"],
    ["C1", 1, "OK", "rechts", "Eckzahn", "Extrusion", "1.2", "0.9", "Software"], ["C1", 1, "UK", "links", "1. Prämolar", "Intrusion", "0.7", "0.5", "keins"],
    ["C2", 1, "OK", "links", "seitlicher Schneidezahn", "Extrusion", "0.9", "0.4", "Behandler"], ["C2", 2, "UK", "rechts", "zweiter Molar", "Intrusion", "0.4", "0.1", "keins"]])
truth("359-de-zahnart", "German", "jaw, side and kind of tooth in three columns", [
    ("C1", 1, 13, "vertical", 1.2, 0.9, S), ("C1", 1, 34, "vertical", -0.7, -0.5, N), ("C2", 1, 22, "vertical", 0.9, 0.4, C), ("C2", 2, 47, "vertical", -0.4, -0.1, N)], program="Python csv")

text("360-en-zeros-and-dashes", [
    ["Patient", "Set", "Tooth", "Extrusion planned", "Extrusion achieved", "Intrusion planned", "Intrusion achieved", "Attachment"],
    ["Z1", 1, 13, 1.2, 0.7, 0, 0, "software"], ["Z1", 1, 23, 0, 0, 0.8, 0.5, "none"], ["Z1", 1, 33, 0, 0, 0.6, "\u2013", "none"], ["Z2", 1, 43, 0.9, "n/a", 0, 0, "clinician"], ["Z2", 2, 43, 0.5, 0.4, 0, 0, "clinician"]], ",")
truth("360-en-zeros-and-dashes", "English", "zeros where nothing was planned, dashes where nothing was measured", [
    ("Z1", 1, 13, "vertical", 1.2, 0.7, S), ("Z1", 1, 23, "vertical", -0.8, -0.5, N), ("Z1", 1, 33, "vertical", -0.6, None, N), ("Z2", 1, 43, "vertical", 0.9, None, C), ("Z2", 2, 43, "vertical", 0.5, 0.4, C)],
    {"\u2013 in achieved means": "not measured"}, program="Python csv")
