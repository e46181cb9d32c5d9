"""Sheets 341 to 348: movements in columns of their own beside signed ones, two amounts in one
cell, outcomes with signs beside plans without, rows of sums in several places, a column of
rounds. Written by one who knew the reader, each after it had been read wrongly or refused.
Run in the folder above: python3 make/later.py"""
import csv
import json


def put(name, language, layout, kind, rows, records, facts=None):
    with open(name + ".csv", "w", newline="", encoding="utf-8") as f:
        csv.writer(f, delimiter=";", lineterminator="\n").writerows([["" if c is None else c for c in r] for r in rows])
    keys = ("case", "course", "tooth", "axis", "planned", "achieved", "style")
    truth = {"language": language, "layout": layout, "program": "Python csv", "kind": kind, "facts": facts or {},
             "records": [dict(zip(keys, r), direction_known=True) for r in records]}
    with open(name + ".truth.json", "w", encoding="utf-8") as f:
        json.dump(truth, f, ensure_ascii=False, indent=1)
        f.write("\n")


S, C, N = "software-suggested", "clinician-designed", "none"
usual = {"positive means": {"rotation": "mesial side inward"}}  # else the usual direction

put("341-sv-own-columns", "Swedish", "signed rotation beside unsigned extrusion and intrusion, with sums", "doubts", [
    ["Patient", "Omgång", "Tand", "Rotation planerat (°)", "Rotation uppnått (°)", "Extrusion planerat (mm)", "Extrusion uppnått (mm)", "Intrusion planerat (mm)", "Intrusion uppnått (mm)", "Attachment", "Övrigt"],
    ["S1", 1, 43, "10,5", "7", None, None, "0,8", "0,5", "mjukvara", "ringt om tiden"],
    ["S1", 1, 44, "-6", "-4", "0,6", "0,4", None, None, "ingen", None],
    ["S2", 1, 13, "8", "6", None, None, "1,1", "-0,1", "behandlaren", None],
    ["S2", 2, 13, "3", "2,5", None, None, "0,4", "0,3", "behandlaren", None],
    ["Summa", None, None, "15,5", "11,5", "0,6", "0,4", "2,3", "0,7", None, None],
], [("S1", 1, 43, "rotation", 10.5, 7, S), ("S1", 1, 43, "vertical", -0.8, -0.5, S), ("S1", 1, 44, "rotation", -6, -4, N), ("S1", 1, 44, "vertical", 0.6, 0.4, N),
    ("S2", 1, 13, "rotation", 8, 6, C), ("S2", 1, 13, "vertical", -1.1, 0.1, C), ("S2", 2, 13, "rotation", 3, 2.5, C), ("S2", 2, 13, "vertical", -0.4, -0.3, C)], usual)

put("342-de-two-in-one", "German", "planned and achieved in one cell with an arrow", "doubts", [
    ["Fall", "Serie", "Zahn", "Rotation (°)", "Vertikal (mm)", "Attachment"],
    ["A1", 1, 43, "12 → 8,5", None, "Software"], ["A1", 1, 44, "-6 → -4", "0,8 → 0,5", "keins"],
    ["A2", 1, 33, "9 → 7", None, "Behandler"], ["A2", 2, 33, "3 → 2", "-0,4 → -0,3", "Behandler"],
], [("A1", 1, 43, "rotation", 12, 8.5, S), ("A1", 1, 44, "rotation", -6, -4, N), ("A1", 1, 44, "vertical", 0.8, 0.5, N),
    ("A2", 1, 33, "rotation", 9, 7, C), ("A2", 2, 33, "rotation", 3, 2, C), ("A2", 2, 33, "vertical", -0.4, -0.3, C)], usual)

put("343-en-signed-outcomes", "English", "plans without a sign and a direction in words, outcomes with a sign", "doubts", [
    ["Case", "Round", "Tooth", "Movement", "Direction", "Planned", "Achieved", "Attachment"],
    ["Z1", 1, 43, "vertical", "intrusion", "1.0", "-0.7", "none"], ["Z1", 1, 44, "vertical", "intrusion", "0.8", "-0.5", "software"],
    ["Z1", 1, 45, "vertical", "extrusion", "0.6", "0.4", "clinician"], ["Z1", 2, 43, "vertical", "intrusion", "0.4", "0.1", "none"],
    ["Z2", 1, 33, "rotation", "mesial in", "9", "7", "none"], ["Z2", 1, 34, "rotation", "mesial out", "8", "-6", "none"],
], [("Z1", 1, 43, "vertical", -1, -0.7, N), ("Z1", 1, 44, "vertical", -0.8, -0.5, S), ("Z1", 1, 45, "vertical", 0.6, 0.4, C), ("Z1", 2, 43, "vertical", -0.4, 0.1, N),
    ("Z2", 1, 33, "rotation", 9, 7, N), ("Z2", 1, 34, "rotation", -8, -6, N)])

put("344-nl-sums", "Dutch", "sums in the column of the tooth, and beside the code they sum up", "doubts", [
    ["Dossier", "Reeks", "Element", "Beweging", "Gepland", "Bereikt", "Attachment", "Bijzonderheden"],
    ["D1", 1, 43, "rotatie", -12, -9, "geen", "gebeld met mevr. Jansen"], ["D1", 1, 44, "rotatie", 7, 5, "software", None], ["D1", None, "Totaal", None, -5, -4, None, None],
    ["D2", 1, 33, "extrusie", "1,2", "0,9", "geen", None], ["D2", 1, 34, "extrusie", "0,8", "0,6", "software", None],
    ["Som D2", None, None, None, 2, "1,5", None, None], ["Gemiddelde", None, None, None, "-0,75", "-0,625", None, None],
], [("D1", 1, 43, "rotation", -12, -9, N), ("D1", 1, 44, "rotation", 7, 5, S), ("D2", 1, 33, "vertical", 1.2, 0.9, N), ("D2", 1, 34, "vertical", 0.8, 0.6, S)], usual)

put("345-es-directions-in-one-column", "Spanish", "extrusion and intrusion named without a sign beside signed rotation", "doubts", [
    ["Paciente", "Serie", "Diente", "Movimiento", "Planificado", "Conseguido", "Atache"],
    ["P1", 1, 43, "rotación", -9, -6, "software"], ["P1", 1, 44, "extrusión", "0,7", "0,5", "ninguno"], ["P1", 1, 45, "intrusión", "0,9", "0,6", "ninguno"],
    ["P2", 1, 33, "rotación", 11, 8, "software"], ["P2", 1, 34, "intrusión", "1,1", "-0,1", "ninguno"], ["Media", None, None, None, "0,94", "0,46", None],
], [("P1", 1, 43, "rotation", -9, -6, S), ("P1", 1, 44, "vertical", 0.7, 0.5, N), ("P1", 1, 45, "vertical", -0.9, -0.6, N),
    ("P2", 1, 33, "rotation", 11, 8, S), ("P2", 1, 34, "vertical", -1.1, 0.1, N)], usual)

put("346-de-jaws-in-letters", "German", "O and U for oben and unten in a column of jaws", "doubts", [
    ["Fall", "Serie", "Kiefer", "Seite", "Zahn", "Bewegung", "geplant", "erreicht", "Attachment"],
    ["J1", 1, "O", "R", 3, "Extrusion", "1,2", "0,8", "Software"], ["J1", 1, "U", "L", 4, "Intrusion", "0,8", "0,5", "keins"],
    ["J2", 1, "U", "R", 3, "Extrusion", "0,6", "0,4", "Behandler"], ["J2", 2, "O", "L", 5, "Intrusion", "0,4", "0,3", "keins"],
], [("J1", 1, 13, "vertical", 1.2, 0.8, S), ("J1", 1, 34, "vertical", -0.8, -0.5, N), ("J2", 1, 43, "vertical", 0.6, 0.4, C), ("J2", 2, 25, "vertical", -0.4, -0.3, N)])

put("347-nl-quadrants-in-letters", "Dutch", "BR, BL, OL and OR for boven and onder, courses by numbers of order", "doubts", [
    ["Casus", "Reeks", "Element", "Beweging", "Gepland", "Bereikt", "Attachment"],
    ["B1", "eerste", "BR3", "extrusie", "1,2", "0,8", "software"], ["B1", "eerste", "OL4", "intrusie", "0,8", "0,5", "geen"],
    ["B1", "tweede", "BR3", "extrusie", "0,4", "0,3", "software"], ["B2", "eerste", "OR5", "extrusie", "0,6", "0,4", "geen"],
], [("B1", 1, 13, "vertical", 1.2, 0.8, S), ("B1", 1, 34, "vertical", -0.8, -0.5, N), ("B1", 2, 13, "vertical", 0.4, 0.3, S), ("B2", 1, 45, "vertical", 0.6, 0.4, N)])

put("348-de-quadrants-the-other-way", "German", "RO, LO, RU and LU: rechts oben and so on", "doubts", [
    ["Fall", "Serie", "Zahn", "Bewegung", "geplant", "erreicht", "Attachment"],
    ["C1", 1, "RO 3", "Extrusion", "1,2", "0,8", "Software"], ["C1", 1, "LU 4", "Intrusion", "0,8", "0,5", "keins"],
    ["C2", 1, "LO 5", "Extrusion", "0,6", "0,4", "keins"], ["C2", 2, "RU 3", "Intrusion", "0,4", "0,3", "keins"],
], [("C1", 1, 13, "vertical", 1.2, 0.8, S), ("C1", 1, 34, "vertical", -0.8, -0.5, N), ("C2", 1, 25, "vertical", 0.6, 0.4, N), ("C2", 2, 43, "vertical", -0.4, -0.3, N)])
