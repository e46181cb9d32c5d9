package privacy

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// identifier is one invented identifier and what must be found of it.
type identifier struct {
	letter string // of 45 CFR 164.514(b)(2)(i)
	text   string
	header string // a header that announces it
}

// Parts of invented names. A third of the given names is not in the package's
// own list, and no surname is anywhere: those names can only be found by form.
var (
	testGiven = strings.Fields(`Anna Peter Fatima Jean Olga Giulia Hiroshi Priya Zbigniew Katarzyna Lars Carmen
		Yolotli Brenagh Tindra Oisín Wiremu Ngozi Kwabena Ljubica Snežana Þóra`)
	syllables = strings.Fields(`bran tol kes mur vin dar hol zet wick sund grem pol rask tav lem`)
)

// invent makes n identifiers of all classes in turn from a seed. Domains are
// those of RFC 2606, network addresses those of RFC 5737 and RFC 3849,
// telephone numbers the fictional 555-01xx of North America.
func invent(n int, seed uint64) []identifier {
	rng := rand.New(rand.NewPCG(seed, 45))
	pick := func(list ...string) string { return list[rng.IntN(len(list))] }
	num := func(n int) string {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte('0' + rng.IntN(10))
		}
		b[0] = byte('1' + rng.IntN(9))
		return string(b)
	}
	surname := func() string {
		s := pick(syllables...) + pick(syllables...) + pick("", "er", "ski", "sen", "ez")
		return strings.ToUpper(s[:1]) + s[1:]
	}
	given := func() string { return pick(testGiven...) }
	year := func() int { return 1940 + rng.IntN(75) }
	day := func() int { return 13 + rng.IntN(16) }
	kinds := []func() identifier{
		func() identifier { return identifier{"A", given() + " " + surname(), "patient name"} },
		func() identifier { return identifier{"A", surname() + ", " + given(), "Name"} },
		func() identifier {
			return identifier{"A", pick("Dr", "Mrs", "Herr", "Mme", "Prof.") + " " + surname(), "surname"}
		},
		func() identifier { return identifier{"A", pick("J", "K", "A") + ". " + surname(), "Nachname"} },
		func() identifier {
			return identifier{"B", num(3) + " " + surname() + " " + pick("Street", "Road", "Avenue", "Lane"), "address"}
		},
		func() identifier {
			return identifier{"B", surname() + pick("straße", "strasse", "weg", "gatan", "straat") + " " + num(2), "Anschrift"}
		},
		func() identifier { return identifier{"B", num(5) + " " + surname(), "postal code"} },
		func() identifier {
			return identifier{"C", fmt.Sprintf("%02d.%02d.%d", day(), 1+rng.IntN(12), year()), "date of birth"}
		},
		func() identifier {
			return identifier{"C", fmt.Sprintf("%d-%02d-%02d", year(), 1+rng.IntN(12), day()), "DOB"}
		},
		func() identifier {
			return identifier{"C", fmt.Sprintf("%d %s %d", day(), pick("March", "Juni", "octobre"), year()), "Geburtsdatum"}
		},
		func() identifier { return identifier{"D", "(555) 555-01" + num(2), "phone"} },
		func() identifier { return identifier{"D", "+49 30 5550" + num(3), "Telefon"} },
		func() identifier { return identifier{"E", "555-01" + num(2), "fax"} },
		func() identifier {
			return identifier{"F", strings.ToLower(surname()) + num(2) + "@" + pick("example.org", "mail.example.com"), "e-mail"}
		},
		func() identifier { return identifier{"G", num(3) + "-" + num(2) + "-" + num(4), "SSN"} },
		func() identifier { return identifier{"H", "MRN " + num(6), "medical record number"} },
		func() identifier { return identifier{"H", num(8), "chart no"} },
		func() identifier { return identifier{"I", "A" + num(9), "insurance number"} },
		func() identifier {
			return identifier{"J", "GB" + num(2) + " ABCD " + num(4) + " " + num(4) + " " + num(6), "IBAN"}
		},
		func() identifier { return identifier{"K", "Licence no. " + num(6), "licence number"} },
		func() identifier { return identifier{"L", "WVWZZZ1JZ" + "3W" + num(6), "vehicle"} },
		func() identifier { return identifier{"M", "S/N " + num(4) + "-" + num(4), "serial number"} },
		func() identifier {
			return identifier{"N", "https://www." + strings.ToLower(surname()) + ".example/" + num(3), "URL"}
		},
		func() identifier {
			return identifier{"O", pick("192.0.2.", "198.51.100.", "203.0.113.") + num(2), "IP address"}
		},
		func() identifier { return identifier{"O", "2001:db8::" + num(4), "ip"} },
		func() identifier {
			return identifier{"P", "fingerprint_" + strings.ToLower(surname()) + ".png", "fingerprint"}
		},
		func() identifier { return identifier{"Q", strings.ToLower(surname()) + "-face.jpg", "photo"} },
		func() identifier { return identifier{"R", "QQ" + num(6) + "C", "identity number"} },
		func() identifier {
			return identifier{"R", "came with " + given() + " " + surname() + " who moved here and works at the mill", "notes"}
		},
	}
	out := make([]identifier, n)
	for i := range out {
		out[i] = kinds[i%len(kinds)]()
	}
	return out
}
