// Package seeded invents identifiers for tests: what a screen must find and
// what a pseudonymised copy must not hold. No person is behind any of them.
//
// Place in the pipeline: none; the tests of privacy, pseudonym and ingest share it.
package seeded

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Identifier is one invented identifier.
type Identifier struct {
	Letter string // of 45 CFR 164.514(b)(2)(i)
	Text   string
	Header string // a header that announces it
}

// Parts of invented names. A third of the given names is not in the list of
// the privacy package, and no surname is anywhere: those names can only be found by form.
var (
	testGiven = strings.Fields(`Anna Peter Fatima Jean Olga Giulia Hiroshi Priya Zbigniew Katarzyna Lars Carmen
		Yolotli Brenagh Tindra Oisín Wiremu Ngozi Kwabena Ljubica Snežana Þóra`)
	syllables = strings.Fields(`bran tol kes mur vin dar hol zet wick sund grem pol rask tav lem`)
)

// Invent makes n identifiers of all classes in turn from a seed. Domains are
// those of RFC 2606, network addresses those of RFC 5737 and RFC 3849,
// telephone numbers the fictional 555-01xx of North America. Its length is that of the
// list of classes, which is read as one.
func Invent(n int, seed uint64) []Identifier {
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
	kinds := []func() Identifier{
		func() Identifier { return Identifier{"A", given() + " " + surname(), "patient name"} },
		func() Identifier { return Identifier{"A", surname() + ", " + given(), "Name"} },
		func() Identifier {
			return Identifier{"A", pick("Dr", "Mrs", "Herr", "Mme", "Prof.") + " " + surname(), "surname"}
		},
		func() Identifier { return Identifier{"A", pick("J", "K", "A") + ". " + surname(), "Nachname"} },
		func() Identifier {
			return Identifier{"B", num(3) + " " + surname() + " " + pick("Street", "Road", "Avenue", "Lane"), "address"}
		},
		func() Identifier {
			return Identifier{"B", surname() + pick("straße", "strasse", "weg", "gatan", "straat") + " " + num(2), "Anschrift"}
		},
		func() Identifier { return Identifier{"B", num(5) + " " + surname(), "postal code"} },
		func() Identifier {
			return Identifier{"C", fmt.Sprintf("%02d.%02d.%d", day(), 1+rng.IntN(12), year()), "date of birth"}
		},
		func() Identifier {
			return Identifier{"C", fmt.Sprintf("%d-%02d-%02d", year(), 1+rng.IntN(12), day()), "DOB"}
		},
		func() Identifier {
			return Identifier{"C", fmt.Sprintf("%d %s %d", day(), pick("March", "Juni", "octobre"), year()), "Geburtsdatum"}
		},
		func() Identifier { return Identifier{"D", "(555) 555-01" + num(2), "phone"} },
		func() Identifier { return Identifier{"D", "+49 30 5550" + num(3), "Telefon"} },
		func() Identifier { return Identifier{"E", "555-01" + num(2), "fax"} },
		func() Identifier {
			return Identifier{"F", strings.ToLower(surname()) + num(2) + "@" + pick("example.org", "mail.example.com"), "e-mail"}
		},
		func() Identifier { return Identifier{"G", num(3) + "-" + num(2) + "-" + num(4), "SSN"} },
		func() Identifier { return Identifier{"H", "MRN " + num(6), "medical record number"} },
		func() Identifier { return Identifier{"H", num(8), "chart no"} },
		func() Identifier { return Identifier{"I", "A" + num(9), "insurance number"} },
		func() Identifier {
			return Identifier{"J", "GB" + num(2) + " ABCD " + num(4) + " " + num(4) + " " + num(6), "IBAN"}
		},
		func() Identifier { return Identifier{"K", "Licence no. " + num(6), "licence number"} },
		func() Identifier { return Identifier{"L", "WVWZZZ1JZ" + "3W" + num(6), "vehicle"} },
		func() Identifier { return Identifier{"M", "S/N " + num(4) + "-" + num(4), "serial number"} },
		func() Identifier {
			return Identifier{"N", "https://www." + strings.ToLower(surname()) + ".example/" + num(3), "URL"}
		},
		func() Identifier {
			return Identifier{"O", pick("192.0.2.", "198.51.100.", "203.0.113.") + num(2), "IP address"}
		},
		func() Identifier { return Identifier{"O", "2001:db8::" + num(4), "ip"} },
		func() Identifier {
			return Identifier{"P", "fingerprint_" + strings.ToLower(surname()) + ".png", "fingerprint"}
		},
		func() Identifier { return Identifier{"Q", strings.ToLower(surname()) + "-face.jpg", "photo"} },
		func() Identifier { return Identifier{"R", "QQ" + num(6) + "C", "identity number"} },
		func() Identifier {
			return Identifier{"R", "came with " + given() + " " + surname() + " who moved here and works at the mill", "notes"}
		},
	}
	out := make([]Identifier, n)
	for i := range out {
		out[i] = kinds[i%len(kinds)]()
	}
	return out
}
