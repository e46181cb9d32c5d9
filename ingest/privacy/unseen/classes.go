package unseen

import (
	"fmt"
	"strings"
	"unicode"

	"shortfall/ingest/privacy/seeded"
)

// class is one way in which a text identifies a person.
type class struct {
	name   string
	places []seeded.Place
	text   func(m *maker) string
}

var (
	anywhere  = []seeded.Place{caseCode, clinician, practice, wear, status, shape, ageBand, unread, title, header, sheetName, comment}
	inCells   = []seeded.Place{caseCode, wear, status, shape, ageBand, month, unread}
	elsewhere = []seeded.Place{wear, status, shape, unread, title, header, sheetName, comment}
	around    = []seeded.Place{title, header, sheetName, comment, unread}
	codes     = []seeded.Place{caseCode}
	words     = []seeded.Place{wear, status, shape}
)

// classes are the classes, in order.
var classes = []class{
	{"given and family name", anywhere, func(m *maker) string { g, f := m.person(); return g + " " + f }},
	{"family name first", anywhere, func(m *maker) string { g, f := m.person(); return f + ", " + g }},
	{"initial and family name", anywhere, func(m *maker) string { g, f := m.person(); return starts(g, 1) + ". " + f }},
	{"given name and initial", anywhere, func(m *maker) string { g, f := m.person(); return g + " " + starts(f, 1) + "." }},
	{"given name alone in a column of words", words, func(m *maker) string { g, _ := m.person(); return g }},
	{"family name alone, capitals", append([]seeded.Place{caseCode}, words...), func(m *maker) string { _, f := m.person(); return strings.ToUpper(f) }},
	{"code built of a name and a year", codes, func(m *maker) string {
		g, f := m.person()
		return fmt.Sprintf("%s%s%02d", starts(f, 3), starts(g, 2), m.IntN(100))
	}},
	{"family name and initial as a code", codes, func(m *maker) string {
		g, f := m.person()
		return plain.Replace(f) + m.of("-", "_", ".", "") + strings.ToUpper(starts(g, 1))
	}},
	{"initials and birth date as a code", codes, func(m *maker) string {
		g, f := m.person()
		y, mo, d := m.born()
		return fmt.Sprintf("%s%s%s%02d%02d%02d", starts(g, 1), starts(f, 1), m.of("-", "", "_"), d, mo, y%100)
	}},
	{"name without marks in lower case", anywhere, func(m *maker) string { g, f := m.person(); return strings.ToLower(plain.Replace(g + " " + f)) }},
	{"name in its own letters", anywhere, func(m *maker) string { return native[m.IntN(len(native))] }},
	{"title and family name", anywhere, func(m *maker) string {
		_, f := m.person()
		return m.of("Mrs ", "Mr ", "Ms ", "Miss ", "Herr ", "Frau ", "Mme ", "Sra. ", "Sig.ra ", "Pan ", "Pani ", "Mevr. ", "Fru ", "Shri ", "Dhr. ", "D.ª ", "Proua ") + f
	}},
	{"word and name", anywhere, func(m *maker) string {
		g, f := m.person()
		return m.of("patient ", "pt. ", "pt ", "name: ", "for ", "Patientin ", "pac. ", "mother of ", "son of ", "sister of ", "Kind von ", "fils de ", "twin of ") + g + " " + f
	}},
	{"name with letters apart", []seeded.Place{title, unread, comment, wear, status, caseCode}, func(m *maker) string {
		_, f := m.person()
		var parts []string
		for _, r := range starts(f, 9) {
			parts = append(parts, string(unicode.ToUpper(r)))
		}
		return strings.Join(parts, m.of(" ", ".", "-"))
	}},
	{"name in disguise", anywhere, func(m *maker) string {
		g, f := m.person()
		s := plain.Replace(g + " " + f)
		switch m.IntN(4) {
		case 0:
			return strings.Join(strings.Split(s, ""), "\u200b")
		case 1:
			return strings.NewReplacer("a", "а", "e", "е", "o", "о", "c", "с", "p", "р").Replace(s) // Cyrillic look-alikes
		case 2:
			return strings.Map(func(r rune) rune {
				if r > ' ' && r < 127 {
					return r + 0xFEE0 // full width
				}
				return r
			}, s)
		}
		return s[:2] + "\u00ad" + s[2:]
	}},
	{"telephone number", anywhere, func(m *maker) string { return m.phone() }},
	{"national number", append([]seeded.Place{caseCode, caseCode}, anywhere...), func(m *maker) string { return nationalIDs[m.IntN(len(nationalIDs))](m) }},
	{"national number without its marks", inCells, func(m *maker) string {
		return strings.NewReplacer(" ", "", "-", "", ".", "", "/", "").Replace(nationalIDs[m.IntN(len(nationalIDs))](m))
	}},
	{"date of birth in words", anywhere, func(m *maker) string {
		y, _, d := m.born()
		months := m.of("März|Oktober|Dezember", "mars|juillet|août", "marzo|agosto|ottobre", "março|julho|dezembro", "maart|oktober|mei", "marca|lipca|grudnia", "March|July|November", "märts|juuli|oktoober", "maaliskuuta|heinäkuuta", "kovo|liepos")
		list := strings.Split(months, "|")
		mon := list[m.IntN(len(list))]
		switch m.IntN(4) {
		case 0:
			return fmt.Sprintf("born %d %s %d", d, mon, y)
		case 1:
			return fmt.Sprintf("%d. %s %d", d, mon, y)
		case 2:
			return fmt.Sprintf("%s %d, %d", mon, d, y)
		}
		return fmt.Sprintf("born the %s of %s, %d", m.of("third", "twelfth", "twenty-first", "ninth"), m.of("March", "July", "October"), y)
	}},
	{"full date", anywhere, func(m *maker) string {
		y, mo, d := m.born()
		return m.of(fmt.Sprintf("%d.%d.%d", d, mo, y), fmt.Sprintf("%02d/%02d/%02d", d, mo, y%100), fmt.Sprintf("%d-%02d-%02d", y, mo, d), fmt.Sprintf("DOB %02d%02d%d", d, mo, y),
			fmt.Sprintf("*%02d.%02d.%d", d, mo, y), fmt.Sprintf("%d年%d月%d日", y, mo, d), fmt.Sprintf("geb. %d.%d.%02d", d, mo, y%100), fmt.Sprintf("né le %d/%d/%d", d, mo, y))
	}},
	{"address of mail", anywhere, func(m *maker) string {
		g, f := m.person()
		return strings.ToLower(starts(g, 9)+m.of(".", "_", "")+starts(f, 12)) + m.digits(2) + "@" + m.of("example.org", "mail.example.ee", "example.co.nz", "posta.example")
	}},
	{"address of mail in other letters or spelt out", anywhere, func(m *maker) string {
		g, f := m.person()
		a, b := strings.ToLower(strings.ReplaceAll(g, " ", "")), strings.ToLower(strings.ReplaceAll(f, " ", ""))
		return m.of(a+"@"+b+".example", a+"."+b+"@müller.example", a+" [at] example [dot] org", a+"."+b+" at example dot org", a+"＠example.org", a+"(at)example.org", "почта@пример.испытание")
	}},
	{"account number", anywhere, func(m *maker) string { return m.iban() }},
	{"card number", inCells, func(m *maker) string {
		s := "4" + m.digits(14)
		s += luhn(s)
		return s[:4] + " " + s[4:8] + " " + s[8:12] + " " + s[12:]
	}},
	{"address", elsewhere, func(m *maker) string {
		n := m.between(1, 140)
		return m.of(fmt.Sprintf("Pikk tänav %d-12", n), fmt.Sprintf("%d Moana Road", n), fmt.Sprintf("Brīvības iela %d, Rīga", n), fmt.Sprintf("Gedimino pr. %d", n), fmt.Sprintf("Carrer de Balmes %d, 2n 1a", n),
			fmt.Sprintf("Hämeenkatu %d A 4", n), fmt.Sprintf("%d Acacia Avenue", n), fmt.Sprintf("ul. Vitosha %d", n), fmt.Sprintf("Rustaveli Ave. %d", n), fmt.Sprintf("Kossuth Lajos utca %d.", n),
			fmt.Sprintf("Flat %d, Marine Court", n), fmt.Sprintf("P.O. Box %d", n+1000), fmt.Sprintf("Strada Lungă nr. %d", n), fmt.Sprintf("Ilica %d, 10000 Zagreb", n))
	}},
	{"postcode and town", elsewhere, func(m *maker) string {
		return m.of("10133 Tallinn", "LV-1010 Rīga", "LT-01103 Vilnius", "1000 Sofia", "6011 Wellington", "EH8 9YL Edinburgh", "CF10 3AT", "08001 Barcelona", "00100 Helsinki", "4020 Linz", "D02 AF30", "560001 Bengaluru", "1052 Budapest", "K1A 0B1 Ottawa")
	}},
	{"age above 89", []seeded.Place{ageBand, ageBand, unread, comment, wear, title}, func(m *maker) string {
		n := m.between(90, 104)
		return m.of(fmt.Sprintf("%d years old", n), fmt.Sprintf("aged %d", n), fmt.Sprint(n), fmt.Sprintf("%d J.", n), fmt.Sprintf("%d ans", n), fmt.Sprintf("age %d", n), fmt.Sprintf("%d y", n), fmt.Sprintf("%d lat", n))
	}},
	{"account of a network", anywhere, func(m *maker) string {
		g, f := m.person()
		a := strings.ToLower(starts(g, 8))
		return m.of("@"+a+"_"+strings.ToLower(starts(f, 5)), "www.example.org/"+a, "https://example.net/u/"+a+m.digits(2), "skype: "+a+m.digits(2), "insta "+a+"."+starts(f, 3))
	}},
	{"number of a patient's file", anywhere, func(m *maker) string {
		return m.of("MRN "+m.digits(7), "Hosp. no. "+m.digits(6), "Pat.-Nr. "+m.digits(6), "chart #"+m.digits(6), "dossier n° "+m.digits(6), "Akte "+m.digits(5)+"/19", "NHI "+strings.ToUpper(m.letters(3))+m.digits(4), "KV-Nr. A"+m.digits(9))
	}},
	{"passport or licence", anywhere, func(m *maker) string {
		g, f := m.person()
		return m.of("passport "+strings.ToUpper(m.letters(2))+m.digits(7), "P<EST"+strings.ToUpper(starts(f, 9))+"<<"+strings.ToUpper(starts(g, 9))+"<<<<<<<<", "driving licence "+strings.ToUpper(m.letters(2))+m.digits(6), "Reisepass C"+m.digits(8))
	}},
	{"name of a picture", anywhere, func(m *maker) string {
		g, f := m.person()
		return m.of("IMG_", "scan ", "opg_", "") + starts(f, 12) + "_" + starts(g, 9) + m.of("_front", "_upper", "", " lat") + m.of(".jpg", ".stl", ".dcm", ".png")
	}},
	{"place on the earth", around, func(m *maker) string {
		return m.of(fmt.Sprintf("%.5f, %.5f", 40+20*m.Float64(), 20+10*m.Float64()), fmt.Sprintf("59°26'%d\"N 24°45'%d\"E", m.IntN(60), m.IntN(60)), fmt.Sprintf("-41.%s 174.%s", m.digits(5), m.digits(5)))
	}},
	{"address of a device", around, func(m *maker) string {
		return m.of(fmt.Sprintf("%d.%d.%d.%d", 81+m.IntN(100), m.IntN(256), m.IntN(256), 1+m.IntN(254)), fmt.Sprintf("%02x:%02x:%02x:%02x:%02x:%02x", m.IntN(256), m.IntN(256), m.IntN(256), m.IntN(256), m.IntN(256), m.IntN(256)))
	}},
}
