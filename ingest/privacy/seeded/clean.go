package seeded

import (
	"fmt"
	"math/rand/v2"
)

// Clean invents values that identify nobody, of the kinds that practices write
// in each place (common practice, no source).
func Clean(n int, seed uint64) []Value {
	c := &maker{rng: rand.New(rand.NewPCG(seed, 77))}
	makers := c.cleanValues()
	out := make([]Value, n)
	for i := range out {
		out[i] = makers[i%len(makers)]()
	}
	return out
}

// cleanValues are what practices write that identifies nobody: its length is that of the list.
func (m *maker) cleanValues() []func() Value {
	v := func(p Place, k Kind, write func() string) func() Value {
		return func() Value { return Value{Class: string(p), Place: p, Kind: k, Text: write()} }
	}
	of := func(p Place, list ...string) func() Value { return v(p, Text, func() string { return m.of(list...) }) }
	year := func() int { return 2018 + m.rng.IntN(8) }
	month := func() int { return 1 + m.rng.IntN(12) }
	return []func() Value{
		v(InCase, Text, func() string { return m.of("C-", "MQ-", "A", "case ", "Case-", "K", "S1-") + m.digits(3) }),
		v(InCase, Text, func() string {
			return fmt.Sprintf("Case %02d-%02d-%02d", 1+m.rng.IntN(20), 1+m.rng.IntN(12), m.rng.IntN(20))
		}),
		v(InCase, Text, func() string { return fmt.Sprintf("%d-%s", year(), m.digits(3)) }),
		v(InCase, Text, func() string { return fmt.Sprintf("%d/%s", year(), m.digits(2)) }),
		v(InCase, Number, func() string { return m.digits(1 + m.rng.IntN(5)) }),
		v(InCase, Text, func() string { return "00" + m.digits(2) }),
		v(InCase, Text, func() string { return m.of("AB", "QX", "ZT", "RK") + "-" + m.digits(2) + m.of("", "-a", "b", "/2") }),
		v(InCase, Text, func() string { return m.of("alpha", "Beta", "gamma", "DELTA") + m.of("-", " ", "_") + m.digits(1) }),
		v(InCase, Text, func() string { return "P-" + m.of("XMQC-NTMP-GMJW", "BCDF-GHJK-LMNP", "TTVW-XZBC-RRSS") }),
		v(InCase, Text, func() string { return m.of("Patient ", "Pt ", "Subject ", "Proband ", "pat") + m.digits(2) }),
		v(InCase, Text, func() string { return fmt.Sprintf("%x", 0xa0000+m.rng.IntN(0xfffff)) }),
		of(InClinician, "Senior", "Locum", "Team A", "K1", "Dr 2", "AB", "Orthodontist 2", "clinician 3", "Registrar", "Trainee B",
			"Consultant", "Associate 1", "Hygienist", "Partner", "resident", "Specialist", "Principal", "team blue", "Op 4", "C-07", "staff", "Behandler 2"),
		of(InPractice, "High Street practice", "Iris", "P1", "North clinic", "Riverside", "Practice 2", "Old Mill dental", "Site B", "Harbour",
			"Westgate", "City centre", "Praxis 3", "Cabinet 2", "The Orchard", "Station Road", "Oak House", "Hauptpraxis", "Parkside practice", "Downtown", "Market Square"),
		v(InMonth, Text, func() string { return fmt.Sprintf("%d-%02d", year(), month()) }),
		v(InMonth, Text, func() string { return fmt.Sprintf("%02d/%d", month(), year()) }),
		v(InMonth, Text, func() string { return fmt.Sprintf("%d-%02d-%02d", year(), month(), 13+m.rng.IntN(15)) }),
		v(InMonth, Text, func() string {
			return fmt.Sprintf("%s %d", m.of("January", "May", "June", "April", "Aug", "Oct", "March"), year())
		}),
		v(InMonth, Date, func() string { return fmt.Sprint(43500 + m.rng.IntN(2300)) }),
		v(InMonth, Number, func() string { return fmt.Sprint(43500 + m.rng.IntN(2300)) }),
		of(InAgeBand, "under 12", "12-17", "18-29", "30-44", "45-59", "60 and over"),
		of(InStatus, "completed", "discontinued", "transferred", "under treatment", "Completed"),
		v(InCount, Number, func() string { return m.digits(2) }),
		v(InCount, Number, func() string { return m.digits(1) + ".0" }),
		of(InWear, "good", "fair", "poor", "Good"),
		of(InCourse, "initial", "refinement 1", "1", "2"),
		of(InTooth, "13", "21", "44", "36", "UR3", "LL5"),
		of(InAxis, "rotation", "tip", "torque", "vertical"),
		v(InAmount, Number, func() string { return fmt.Sprintf("%.2f", 2+m.rng.Float64()*20) }),
		v(InAmount, Number, func() string { return fmt.Sprintf("%.16g", 2+m.rng.Float64()*20) }),
		v(InAmount, Text, func() string { return fmt.Sprintf("%.1f°", 2+m.rng.Float64()*20) }),
		v(InAchieved, Number, func() string { return fmt.Sprintf("%.3f", 2+m.rng.Float64()*15) }),
		of(InAchieved, "not measured", "n/a", "not recorded"),
		of(InStyle, "none", "software-suggested", "clinician-designed", "Clinician-designed"),
		of(InShape, "block", "wedge", "oval", "other"),
		of(InStaging, "combined", "sequenced"),
		of(InLost, "yes", "no", "Y", "N"),
		of(Unread, "thin", "passive", "blue", "Class II", "Class I crowding", "IPR 0.3 mm", "second batch", "good fit", "elastic",
			"power chain", "Tray 2", "clear", "left", "0.030 in", "medium", "rubber", "open bite", "deep bite", "Spee 2 mm", "Angle class II",
			"Bolton 1.2", "Monday", "March", "week 12", "every 7 days", "retainer", "A-", "v2.1", "checked", "OK", "see plan"),
		v(Unread, Number, func() string { return fmt.Sprintf("%.16g", m.rng.Float64()*100) }),
		v(Unread, Number, func() string { return m.digits(1 + m.rng.IntN(5)) }),
		of(InHeader, "city of study", "tray type", "crowding (mm)", "phase", "bonding agent", "elastics", "arch form", "batch", "aligner material",
			"facility type", "scanner model", "overjet before", "molar class", "week of review", "number of buttons", "material", "growth stage",
			"file version", "name of the plan", "photo quality", "contact point", "surface area", "plan version", "city size", "cell type", "region of the arch"),
		of(Above, "Aligner audit, 2nd quarter 2025", "Audit of finished cases", "Quarter 3", "Data from High Street practice", "Exported 2025",
			"Group A", "Upper arch only", "Cases finished in 2024", "Page 1 of 3", "Version 2", "All amounts in mm and degrees", "Rotation: mesial in positive",
			"Study club spring meeting", "Results of the first year", "Final data", "Anterior teeth", "Planned and achieved movement"),
		of(InSheetName, "movements 2", "Q1 2025", "Upper", "Case 12", "2024", "refinements only", "Group B", "Tabelle1", "Feuil1", "old data", "Export", "April"),
		of(InComment, "checked twice", "see plan", "measured on the second scan", "redone", "outlier?", "tooth was rotated before", "Angle class II"),
		of(InProperty, "Aligner audit", "Cases 2024", "Quarterly audit of the practice", "Book1", "Outcome study"),
		of(InCustom, "v3", "final", "2025", "draft"),
		of(Aside, "Instructions: one row a movement", "Legend", "yellow = checked", "FDI notation", "Planned minus achieved", "Lists", "Summary of the year"),
		of(Totals, "Total", "Mean", "Sum", "Average", "Median"),
	}
}
