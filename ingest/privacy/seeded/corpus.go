package seeded

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Value is one text of a corpus: an identifier that no copy may hold, or a
// clean value that no screen may refuse.
type Value struct {
	Class string // "name, Polish", "telephone, split", "case code"
	Text  string
	Kind  Kind
	Place Place
	// Needles are the parts of an identifier by which a file that kept it is
	// known, in any case: a surname, a run of digits.
	Needles []string
}

// Kind of the cell that holds a value.
type Kind uint8

// The kinds of a cell that a corpus uses.
const (
	Text Kind = iota
	Number
	Date
	Fault // an error value such as #N/A, with a text
)

// Place is where in a workbook a value stands.
type Place string

// The places of both corpora.
const (
	InCase       Place = "case"
	InPractice   Place = "practice"
	InClinician  Place = "clinician"
	InAgeBand    Place = "age band"
	InMonth      Place = "start month"
	InStatus     Place = "status"
	InCount      Place = "planned aligners"
	InWear       Place = "wear"
	InCourse     Place = "course"
	InTooth      Place = "tooth"
	InAxis       Place = "axis"
	InAmount     Place = "planned"
	InAchieved   Place = "achieved"
	InStyle      Place = "style"
	InShape      Place = "shape"
	InStaging    Place = "staging"
	InLost       Place = "lost"
	Unread       Place = "column that is not read"
	Headless     Place = "column without a header"
	Above        Place = "row above the table"
	Totals       Place = "row of totals"
	Aside        Place = "sheet without a table"
	InSheetName  Place = "sheet name"
	InComment    Place = "comment"
	InProperty   Place = "title of the document"
	InCustom     Place = "custom property"
	InHeader     Place = "header"
	InFileName   Place = "file name"
	AgainAsTotal Place = "case code that is a word of totals"
)

// everywhere a cell can hold a text.
var everywhere = []Place{
	InCase, InPractice, InClinician, InAgeBand, InMonth, InStatus, InCount, InWear, InCourse, InTooth, InAxis,
	InAmount, InAchieved, InStyle, InShape, InStaging, InLost, Unread, Headless, Above, Totals, Aside,
	InComment, InProperty, InCustom, InHeader,
}

// Names by culture, common ones without a source, joined at random; no person is
// meant. The surnames are of each culture's commonest.
var cultures = []struct{ name, given, surname string }{
	{"English", "Oliver Harriet Jack Imogen Callum Poppy", "Whitaker Blackwood Thornton Ashworth Pickering Hargreaves"},
	{"Irish", "Siobhán Niamh Cormac Oisín Aoife Declan", "O'Sullivan McLoughlin O'Brien Gallagher Brannigan Kinsella"},
	{"Scottish", "Hamish Morag Euan Catriona Fergus Isla", "MacKenzie Sutherland Drummond McAllister Farquhar Galbraith"},
	{"Welsh", "Rhiannon Gethin Carys Iestyn Angharad Emrys", "Llewellyn Pritchard Gwynne Bevan Rhydderch Vaughan"},
	{"German", "Jürgen Wiebke Torsten Heike Uwe Anneliese", "Müller Schröder Hofmann Weißhaupt Krüger Zimmermann"},
	{"Dutch", "Joost Marijke Sjoerd Femke Wouter Annelies", "Vermeulen Hoekstra Dijkstra Kuiper Brouwer Zijlstra"},
	{"French", "Étienne Margaux Thibault Océane Gaëtan Solène", "Lefèvre Beaumont Charpentier Rousseau Delacroix Bouchard"},
	{"Spanish", "Íñigo Lucía Joaquín Nuria Álvaro Rocío", "Fernández Echeverría Castaño Villanueva Ordóñez Zabala"},
	{"Portuguese", "João Inês Gonçalo Beatriz Tiago Leonor", "Magalhães Figueiredo Carvalho Teixeira Nogueira Falcão"},
	{"Italian", "Giancarlo Ornella Luca Chiara Tommaso Ginevra", "Bianchi Esposito Marchetti Lombardi Pellegrini Caruso"},
	{"Polish", "Wojciech Małgorzata Zbigniew Agnieszka Łukasz Grażyna", "Wiśniewski Kowalczyk Szymańska Dąbrowski Wójcik Jabłońska"},
	{"Czech", "Bohumil Zdeňka Jiří Ludmila Vojtěch Markéta", "Novotný Procházka Dvořák Hájková Šimek Kučerová"},
	{"Hungarian", "Zoltán Ildikó Gergely Enikő Balázs Piroska", "Nagy Szabó Horváth Kovács Halász Vörös"},
	{"Romanian", "Bogdan Ileana Răzvan Mihaela Ștefan Corina", "Popescu Dumitrescu Munteanu Ionescu Stoica Gheorghe"},
	{"Swedish", "Björn Ingegerd Håkan Solveig Göran Linnéa", "Lindqvist Bergström Åkesson Sjöberg Nyström Hallberg"},
	{"Finnish", "Väinö Aino Jukka Päivi Timo Marjatta", "Virtanen Mäkinen Korhonen Heikkinen Laaksonen Niemi"},
	{"Greek", "Kyriakos Despina Stavros Eleftheria Θανάσης Ελένη", "Papadopoulos Karagiannis Παπαδόπουλος Dimitriou Γεωργίου Nikolaidis"},
	{"Russian", "Svetlana Вячеслав Дмитрий Lyudmila Ольга Arkady", "Кузнецов Smirnova Воробьёва Sokolov Иванов Volkova"},
	{"Ukrainian", "Oleksandr Оксана Taras Мирослава Bohdan Ярина", "Шевченко Kovalenko Bondarenko Ткаченко Lysenko Мельник"},
	{"Turkish", "Mehmet Ayşegül Çağlar Gülsüm İbrahim Şule", "Yılmaz Öztürk Çelik Kılıç Demirtaş Şahinoğlu"},
	{"Arabic", "محمد Khadija عبدالله Rashid فاطمة Youssef", "الحسيني Al-Mansouri القحطاني Haddad بن سعيد Abdelrahman"},
	{"Hebrew", "יעל Shlomo אברהם Tzipora דוד Rivka", "כהן Rabinovich לוי Goldfarb מזרחי Shapira"},
	{"Persian", "Farhad زهرا Shirin کاوه Behrouz Laleh", "Hosseini محمدی Rezaei تهرانی Ghorbani Tehrani"},
	{"Indian", "Priyanka Rajesh अनिल Lakshmi सुनीता Harpreet", "Subramanian Chatterjee शर्मा Venkataraman पटेल Deshpande"},
	{"Chinese", "王伟 Xiaoming 李娜 Jianguo 张敏 Meiling", "欧阳 Zhang 司马 Huang 陈 Zhao"},
	{"Japanese", "太郎 Haruka 花子 Kenichi さくら Yukiko", "山田 Takahashi 佐藤 Watanabe 鈴木 Kobayashi"},
	{"Korean", "민준 Ji-woo 서연 Seung-hyun 지훈 Eun-ji", "김철수 Kwon 박영희 Hwang 이순신 Jeong"},
	{"Vietnamese", "Nguyệt Thảo Quốc Phương Dũng Hạnh", "Nguyễn Phạm Trần Huỳnh Võ Đặng"},
	{"Nigerian", "Oluwaseun Chidinma Adebayo Ngozi Babatunde Ifeoma", "Okonkwo Adeyemi Nwachukwu Ogunbanjo Eze Balogun"},
	{"Akan", "Kwabena Akosua Kofi Abena Kwame Adwoa", "Asante Boateng Owusu Mensah Agyeman Amoah"},
	{"Filipino", "Maricel Jomar Rosario Dalisay Efren Luzviminda", "Santos Macaraeg Dimaculangan Reyes Pangilinan Magsaysay"},
	{"Māori", "Wiremu Ngaire Tamati Aroha Hemi Marama", "Parata Ngata Te Kanawa Tūhoe Waititi Rangihau"},
	{"invented", "Brannik Tolwyn Zadrel Mirvesh Kestrin Olvarra", "Torgrenn Vashmere Quilldor Brezmak Halvenny Drummeck"},
}

// Corpus invents identifiers of more than thirty classes and cultures, each for
// the places of a workbook in turn. Domains are those of RFC 2606, network
// addresses of RFC 5737; telephone numbers that are not reserved for fiction
// are drawn at random.
func Corpus(n int, seed uint64) []Value {
	c := &maker{rng: rand.New(rand.NewPCG(seed, 1812))}
	makers := c.identifiers()
	out := make([]Value, 0, n)
	for i := 0; len(out) < n-n/16; i++ {
		v := makers[i%len(makers)]()
		round := i / len(makers)
		places := everywhere
		if v.Kind != Text {
			places = places[:len(places)-4] // a comment, a property and a header are texts
		}
		v.Place = places[(round*7+i)%len(places)]
		out = append(out, v)
	}
	for i, coded := 0, c.datesInCodes(); len(out) < n; i++ { // the last, so that the places of the others stay
		out = append(out, coded[i%len(coded)]())
	}
	return out
}

// maker draws values.
type maker struct{ rng *rand.Rand }

func (m *maker) of(list ...string) string { return list[m.rng.IntN(len(list))] }

func (m *maker) word(list string) string { return m.of(strings.Fields(list)...) }

func (m *maker) digits(n int) string {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte('0' + m.rng.IntN(10))
	}
	b[0] = byte('1' + m.rng.IntN(9))
	return string(b)
}

func (m *maker) name() (class, given, surname string) {
	c := cultures[m.rng.IntN(len(cultures))]
	return c.name, m.word(c.given), m.word(c.surname)
}

// birth is a date on which a patient could be born, and its serial day.
func (m *maker) birth() (year, month, day, serial int) {
	year, month, day = 1936+m.rng.IntN(60), 1+m.rng.IntN(12), 13+m.rng.IntN(15)
	// Days since 1899-12-30 (ECMA-376 part 1, 18.17.4.1), by the civil calendar.
	y, mm := year, month
	if mm <= 2 {
		y--
		mm += 12
	}
	serial = 365*y + y/4 - y/100 + y/400 + (153*(mm-3)+2)/5 + day - 1 - 693899
	return year, month, day, serial
}

func (m *maker) identifiers() []func() Value {
	out := m.names()
	out = append(out, m.dates()...)
	out = append(out, m.contacts()...)
	out = append(out, m.numbers()...)
	return append(out, m.disguises()...)
}

// names in every form in which sheets hold them.
func (m *maker) names() []func() Value {
	form := func(class string, write func(given, surname string) string) func() Value {
		return func() Value {
			culture, given, surname := m.name()
			return Value{Class: "name, " + class + ", " + culture, Text: write(given, surname), Needles: []string{surname}}
		}
	}
	out := []func() Value{
		form("full", func(g, s string) string { return g + " " + s }),
		form("full, small letters", func(g, s string) string { return strings.ToLower(g + " " + s) }),
		form("full, capitals", func(g, s string) string { return strings.ToUpper(g + " " + s) }),
		form("last, first", func(g, s string) string { return s + ", " + g }),
		form("surname in capitals", func(_, s string) string { return strings.ToUpper(s) }),
		form("surname", func(_, s string) string { return s }),
		form("surname and initial", func(g, s string) string { return strings.ToUpper(s) + "-" + string([]rune(g)[0]) }),
		form("initial and surname", func(g, s string) string { return string([]rune(g)[0]) + ". " + s }),
		form("joined by a line", func(g, s string) string { return g + "_" + s }),
		form("title", func(_, s string) string { return m.of("Dr ", "Mrs ", "Herr ", "Mme ", "Sig.ra ", "Pan ", "Prof. ") + s }),
		form("labelled", func(g, s string) string { return m.of("Patient: ", "Pt ", "Name: ", "Mother: ") + g + " " + s }),
		form("with a year", func(_, s string) string { return s + m.of("1987", "_2009", "-1994") }),
		form("with a number", func(g, s string) string { return s + " " + string([]rune(g)[0]) + m.digits(2) }),
		form("run together", func(g, s string) string { return g + strings.ReplaceAll(s, " ", "") }),
		form("in a sentence", func(g, s string) string {
			return "moved here with " + g + " " + s + " last year and works at the mill"
		}),
	}
	given := func() Value {
		culture, given, _ := m.name()
		return Value{Class: "name, given, " + culture, Text: given, Needles: []string{given}}
	}
	nick := func() Value {
		n := m.of("bobby", "lulu", "Mitzi", "pepe", "Franzi", "jojo", "Billy", "Nancy", "kasia", "Wolfi")
		return Value{Class: "name, short form", Text: n, Needles: []string{n}}
	}
	return append(out, given, nick)
}

func (m *maker) dates() []func() Value {
	date := func(class string, k Kind, write func(y, mo, d, serial int) (string, []string)) func() Value {
		return func() Value {
			y, mo, d, s := m.birth()
			text, needles := write(y, mo, d, s)
			return Value{Class: "date of birth, " + class, Text: text, Kind: k, Needles: needles}
		}
	}
	months := []string{"January", "Februar", "mars", "Apr", "mayo", "Juni", "luglio", "Aug", "September", "Oktober", "Nov", "décembre"}
	return []func() Value{
		date("ISO", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%d-%02d-%02d", y, mo, d)
			return s, []string{s, fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("points", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%02d.%02d.%d", d, mo, y)
			return s, []string{s, fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("slashes, two digits", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%02d/%02d/%02d", d, mo, y%100)
			return s, []string{s}
		}),
		date("words", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%d %s %d", d, months[mo-1], y)
			return s, []string{s, fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("run together", Number, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%02d%02d%d", d, mo, y)
			return s, []string{s}
		}),
		date("run together, year first", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%d%02d%02d", y, mo, d)
			return s, []string{s, fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("labelled", Text, func(y, mo, d, _ int) (string, []string) {
			s := fmt.Sprintf("%02d/%02d/%d", mo, d, y)
			return m.of("DOB ", "born ", "geb. ", "née le ") + s, []string{s}
		}),
		date("stored date", Date, func(y, mo, _, s int) (string, []string) {
			return fmt.Sprint(s), []string{fmt.Sprint(s), fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("serial day", Number, func(y, mo, _, s int) (string, []string) {
			return fmt.Sprint(s), []string{fmt.Sprint(s), fmt.Sprintf("%d-%02d", y, mo)}
		}),
		date("serial day as text", Text, func(y, mo, _, s int) (string, []string) {
			return fmt.Sprint(s), []string{fmt.Sprint(s), fmt.Sprintf("%d-%02d", y, mo)}
		}),
	}
}

func (m *maker) contacts() []func() Value {
	surname := func() string { _, _, s := m.name(); return strings.ReplaceAll(s, " ", "") }
	v := func(class string, write func() (string, []string)) func() Value {
		return func() Value {
			text, needles := write()
			return Value{Class: class, Text: text, Needles: needles}
		}
	}
	one := func(s string) (string, []string) { return s, []string{s} }
	return []func() Value{
		v("electronic mail", func() (string, []string) {
			return one("k." + m.word("lind brook vale hart moss") + m.digits(2) + "@" + m.of("example.org", "mail.example.com"))
		}),
		v("electronic mail, spelt out", func() (string, []string) {
			return one("k" + m.digits(3) + m.of(" (at) ", " at ", "[at]") + "example" + m.of(" dot ", ".", " . ") + "org")
		}),
		v("telephone, international", func() (string, []string) {
			return one("+" + m.of("44 20 7946 0", "49 30 5550", "33 1 99 00 ", "48 22 555 ") + m.digits(3))
		}),
		v("telephone, national", func() (string, []string) {
			return one("0" + m.of("20 7946 0", "1632 960", "30 55501", "171 5550") + m.digits(3))
		}),
		v("telephone, North America", func() (string, []string) {
			return one("(" + m.of("212", "416", "305") + ") 555-01" + m.digits(2))
		}),
		v("telephone, points", func() (string, []string) {
			return one(m.of("212", "416", "305") + ".555.01" + m.digits(2))
		}),
		v("telephone, run together", func() (string, []string) { return one("07700900" + m.digits(3)) }),
		v("address, English", func() (string, []string) {
			s := surname()
			return m.digits(2) + " " + s + " " + m.of("Street", "Road", "Lane", "Close"), []string{s}
		}),
		v("address, German", func() (string, []string) {
			s := m.word("Linden Rosen Birken Garten Mühlen")
			return s + m.of("straße ", "weg ", "allee ") + m.digits(2), []string{s}
		}),
		v("address, French", func() (string, []string) {
			s := surname()
			return m.digits(2) + ", rue de " + s, []string{s}
		}),
		v("address, Spanish", func() (string, []string) {
			s := surname()
			return "Calle " + s + " " + m.digits(2), []string{s}
		}),
		v("postal code, British", func() (string, []string) { return one(m.of("SW1A 1A", "M1 1A", "EC4V 7A") + m.of("A", "B", "E")) }),
		v("postal code and town", func() (string, []string) {
			s := m.word("Brandenfurt Tolheim Kesselburg Zetlingen")
			return m.digits(5) + " " + s, []string{s}
		}),
		v("web address", func() (string, []string) {
			return one("https://www." + m.word("lindvale brookhart mossfield") + ".example/" + m.digits(4))
		}),
		v("network address", func() (string, []string) { return one(m.of("192.0.2.", "198.51.100.", "203.0.113.") + m.digits(2)) }),
		v("account on a network", func() (string, []string) { return one("@" + m.word("lind_vale brook.hart mossfield") + m.digits(3)) }),
		v("photograph", func() (string, []string) { return one("IMG_" + m.digits(4) + m.of(".jpg", ".HEIC", ".stl", ".dcm")) }),
	}
}

func (m *maker) numbers() []func() Value {
	v := func(class string, k Kind, write func() string) func() Value {
		return func() Value {
			s := write()
			return Value{Class: class, Kind: k, Text: s, Needles: []string{s}}
		}
	}
	return []func() Value{
		v("number, British health service", Text, func() string { return m.digits(3) + " " + m.digits(3) + " " + m.digits(4) }),
		v("number, ten digits", Number, func() string { return m.digits(10) }),
		v("number, United States social security", Text, func() string { return m.digits(3) + "-" + m.digits(2) + "-" + m.digits(4) }),
		v("number, Nordic", Text, func() string { return "19" + m.digits(2) + "0" + m.digits(1) + "1" + m.digits(1) + "-" + m.digits(4) }),
		v("number, Danish", Text, func() string { return "1" + m.digits(1) + "0" + m.digits(1) + m.digits(2) + "-" + m.digits(4) }),
		v("number, Italian tax code", Text, func() string { return "RSSMRA" + m.digits(2) + "A" + m.digits(2) + "H" + m.digits(3) + "K" }),
		v("number, Spanish identity", Text, func() string { return m.digits(8) + m.of("Z", "-T", "W") }),
		v("number, French register", Text, func() string {
			return m.of("1", "2") + " " + m.digits(2) + " 0" + m.digits(1) + " " + m.digits(2) + " " + m.digits(3) + " " + m.digits(3)
		}),
		v("number, Swiss", Text, func() string { return "756." + m.digits(4) + "." + m.digits(4) + "." + m.digits(2) }),
		v("number, Dutch", Number, func() string { return m.digits(9) }),
		v("number, Brazilian", Text, func() string { return m.digits(3) + "." + m.digits(3) + "." + m.digits(3) + "-" + m.digits(2) }),
		v("number, Indian", Text, func() string { return m.digits(4) + " " + m.digits(4) + " " + m.digits(4) }),
		v("number, Chinese", Text, func() string {
			return "110101" + "19" + m.digits(2) + "0" + m.digits(1) + "1" + m.digits(1) + m.digits(3) + "X"
		}),
		v("number, Polish", Text, func() string { return m.digits(11) }),
		v("number, German insured person", Text, func() string { return m.of("A", "M", "T") + m.digits(9) }),
		v("number, bank account", Text, func() string {
			return "DE" + m.digits(2) + " " + m.digits(4) + " " + m.digits(4) + " " + m.digits(4) + " " + m.digits(4) + " " + m.digits(2)
		}),
		v("number, payment card", Text, func() string { return "4" + m.digits(3) + " " + m.digits(4) + " " + m.digits(4) + " " + m.digits(4) }),
		v("number, medical record", Text, func() string { return m.of("MRN ", "Chart # ", "Akte ", "Pat.-Nr. ") + m.digits(6) }),
		v("number, record", Number, func() string { return m.digits(8) }),
		v("number, passport", Text, func() string { return m.of("passport ", "Passport no. ") + m.of("C", "X") + m.digits(8) }),
	}
}

// disguises are identifiers in other clothes: its length is that of the list.
func (m *maker) disguises() []func() Value {
	zero := "\u200b"
	swap := func(s string, pairs ...string) string { return strings.NewReplacer(pairs...).Replace(s) }
	wide := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r - '0' + '０'
			}
			return r
		}, s)
	}
	v := func(class string, k Kind, write func() (string, []string)) func() Value {
		return func() Value {
			s, needles := write()
			return Value{Class: class, Kind: k, Text: s, Needles: append(needles, s)}
		}
	}
	number := func(class string, k Kind, write func(string) string) func() Value {
		return v("disguise, "+class, k, func() (string, []string) { n := m.digits(10); return write(n), []string{n} })
	}
	return []func() Value{
		number("full-width digits", Text, wide),
		number("with a decimal", Number, func(n string) string { return n + ".0" }),
		number("with a decimal, text", Text, func(n string) string { return n + ".0" }),
		number("negative", Number, func(n string) string { return "-" + n }),
		number("exponent", Number, func(n string) string { return n[:1] + "." + n[1:5] + "E11" }),
		number("fraction", Number, func(n string) string { return n[:3] + "." + n[3:] }),
		number("points within", Text, func(n string) string { return n[:3] + "." + n[3:6] + "." + n[6:] }),
		number("spaces within", Text, func(n string) string { return strings.Join(strings.Split(n, ""), " ") }),
		number("lines within", Text, func(n string) string { return n[:2] + "-" + n[2:4] + "-" + n[4:6] + "-" + n[6:8] + "-" + n[8:] }),
		number("zero-width characters", Text, func(n string) string { return n[:4] + zero + n[4:] }),
		number("grouped by commas", Text, func(n string) string { return n[:1] + "," + n[1:4] + "," + n[4:7] + "," + n[7:] }),
		number("apostrophe before", Text, func(n string) string { return "'" + n }),
		number("error value", Fault, func(n string) string { return "#REF! " + n }),
		v("disguise, look-alike letters", Text, func() (string, []string) {
			_, g, s := "", m.word("Oliver Harriet Jack Peter Anna"), m.word("Thornton Pickering Hopkins Carpenter")
			return swap(g+" "+s, "a", "а", "e", "е", "o", "о", "p", "р", "c", "с"), nil
		}),
		v("disguise, zero-width in a name", Text, func() (string, []string) {
			g, s := m.word("Oliver Harriet Jack Peter Anna"), m.word("Thornton Pickering Hopkins Carpenter")
			return g[:2] + zero + g[2:] + " " + s[:3] + zero + s[3:], nil
		}),
		v("disguise, letters apart", Text, func() (string, []string) {
			s := m.word("Thornton Pickering Hopkins Carpenter")
			return strings.Join(strings.Split(s, ""), " "), nil
		}),
		v("disguise, mathematical letters", Text, func() (string, []string) {
			s := m.word("Thornton Pickering Hopkins Carpenter")
			return strings.Map(func(r rune) rune {
				switch {
				case r >= 'A' && r <= 'Z':
					return r - 'A' + 0x1D400
				case r >= 'a' && r <= 'z':
					return r - 'a' + 0x1D41A
				}
				return r
			}, "Peter "+s), nil
		}),
		v("disguise, decomposed accents", Text, func() (string, []string) {
			return "Ju\u0308rgen " + m.word("Mu\u0308ller Schro\u0308der Kru\u0308ger"), nil
		}),
		v("disguise, characters of direction", Text, func() (string, []string) {
			return "\u202e" + m.word("Thornton Pickering Hopkins") + " Anna\u202c", nil
		}),
		v("word of totals as a name", Text, func() (string, []string) {
			n := m.word("Max Min Som Media Sum")
			return n, nil
		}),
	}
}
