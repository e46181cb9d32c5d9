package unseen

import (
	"fmt"

	"shortfall/ingest/privacy/seeded"
)

// column is a kind of honest value and where it stands.
type column struct {
	place seeded.Place
	text  func(m *maker) string
}

// honest are values as practices keep them.
var honest = []column{
	{caseCode, func(m *maker) string {
		n := m.between(1, 2000)
		return m.of(fmt.Sprintf("C-%04d", n), fmt.Sprintf("P%d", n), fmt.Sprintf("%d", n), fmt.Sprintf("2024-%03d", n%1000), fmt.Sprintf("AL%05d", n), fmt.Sprintf("case %d", n), fmt.Sprintf("Q1/%d", n%400),
			fmt.Sprintf("T%d-%s", n, m.of("U", "L")), fmt.Sprintf("%s%04d", m.word("KX QZ RT WV HB"), n), fmt.Sprintf("#%d", n), fmt.Sprintf("N°%d", n), fmt.Sprintf("a%db", n), fmt.Sprintf("%06x", 0x100000+m.IntN(0xefffff)), fmt.Sprintf("Fall %d", n), fmt.Sprintf("ALG-24-%03d", n%1000))
	}},
	{clinician, func(m *maker) string {
		return m.of("K1", "K2", "Dr A", "Dr B", "D1", "clinician 3", "senior", "locum", "Associate", "Partner 2", "registrar", "Behandler 1", "ortho-02", "trainee", "A", "B", "consultant A", "Team blue")
	}},
	{practice, func(m *maker) string {
		return m.of("North", "Riverside", "Site 2", "Main", "Branch B", "Practice 1", "City clinic", "Hill House practice", "Praxis Süd", "centre", "West", "Harbour", "P-01", "Old Mill dental practice", "Station Road")
	}},
	{wear, func(m *maker) string {
		return m.of("good", "poor", "moderate", "18-20 h", "22 h/day", "excellent", "variable", "as instructed", "below 16 h", "nights only", "gut", "mäßig", "bonne", "buona", "full-time", "fair", "compliant", "not recorded", "mostly", "very good")
	}},
	{status, func(m *maker) string {
		return m.of("completed", "discontinued", "in progress", "transferred", "abgeschlossen", "terminé", "finished", "active", "switched to fixed", "completato", "zakończone", "on hold", "retention")
	}},
	{shape, func(m *maker) string {
		return m.of("rectangular", "bevelled", "ellipsoid", "vertical rectangular", "horizontal", "horizontal bevelled", "button", "rechteckig", "pyramidal", "3 mm", "4x2x1", "wedge", "half-moon", "rounded", "trapezoidal", "gingival bevel")
	}},
	{ageBand, func(m *maker) string {
		return m.of("under 18", "18-29", "30-44", "45-59", "60+", "12-17", "adult", "20-29", "40-49")
	}},
	{month, func(m *maker) string {
		y := m.between(2019, 2025)
		return m.of(fmt.Sprintf("%d-%02d", y, m.between(1, 12)), fmt.Sprintf("%s %d", m.word("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"), y), fmt.Sprintf("%02d/%d", m.between(1, 12), y), fmt.Sprintf("%s %d", m.word("January April August Juni Mai mars juillet agosto"), y))
	}},
	{unread, func(m *maker) string {
		return m.of("IPR 0.2 mm 12/11", "elastics class II", "PETG 0.75", "box elastics", "rubber dam", "photo set done", "composite, flowable", "button lingual 36", "see plan 2", "scan 3 of 4", "10 days per aligner", "weekly", "retainer bonded 3-3", "25 aligners", "overcorrection 10 %", "mesial-in", "polyurethane", "0.3", "yes", "ok")
	}},
	{title, func(m *maker) string {
		return m.of("Aligner cases, first half of 2025", "Planned and achieved tooth movement", "Audit Q3 2024", "All amounts in mm and degrees", "Movements by tooth", "Upper and lower arch", "Refinement audit, version 2", "Übersicht der Zahnbewegungen", "Mouvements prévus et obtenus", "Extracted on request of the practice", "Export of completed cases", "FDI notation", "Quarterly clinical audit")
	}},
	{header, func(m *maker) string {
		return m.of("city of study", "tray material", "scanner", "IPR (mm)", "days per aligner", "crown length", "visit", "bone type", "arch", "Angle class", "malocclusion", "crowding (mm)", "overjet", "elastics", "remarks", "stage", "printer", "thickness", "root length", "bonding material")
	}},
	{sheetName, func(m *maker) string {
		return m.of("Movements", "Sheet1", "Tabelle1", "Initial", "Refinement 1", "R2", "Upper", "2024 Q3", "data", "Feuil1", "export (2)", "Cases 2025", "raw", "Lower arch", "Hoja1", "Blad1")
	}},
	{comment, func(m *maker) string {
		return m.of("measured on models", "check sign", "achieved after 20 aligners", "second scan", "tooth was ankylosed", "attachment lost at stage 8", "from superimposition", "lost twice, rebonded", "plan revised", "see refinement", "best fit of the palate", "value estimated", "needs re-measuring", "not bonded until stage 4")
	}},
	{clinician, func(m *maker) string { return fmt.Sprintf("%s%02d", m.word("K D B Z BH OP"), m.between(1, 40)) }},
	{caseCode, func(m *maker) string {
		return fmt.Sprintf("%s-%d", m.word("AB CD KF ZZ MX UU PQ JJ GH"), m.between(100, 99999))
	}},
}
