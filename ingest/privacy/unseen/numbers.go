package unseen

import (
	"fmt"
	"strconv"
	"strings"
)

// weighted is the sum of digits times weights.
func weighted(s string, weights ...int) int {
	sum := 0
	for i, w := range weights {
		sum += int(s[i]-'0') * w
	}
	return sum
}

// luhn is the check digit of ISO/IEC 7812-1.
func luhn(s string) string {
	sum := 0
	for i := range len(s) {
		d := int(s[len(s)-1-i] - '0')
		if i%2 == 0 {
			if d *= 2; d > 9 {
				d -= 9
			}
		}
		sum += d
	}
	return strconv.Itoa((10 - sum%10) % 10)
}

func (m *maker) born() (y, mo, d int) {
	return m.between(1938, 2016), m.between(1, 12), m.between(1, 28)
}

// nationalIDs are numbers of persons, with their check digits right.
var nationalIDs = []func(m *maker) string{
	func(m *maker) string { // Estonia, Lithuania
		y, mo, d := m.born()
		s := fmt.Sprintf("%d%02d%02d%02d%03d", 3+2*(y/2000)+m.IntN(2), y%100, mo, d, m.IntN(1000))
		c := weighted(s, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1) % 11
		if c == 10 {
			if c = weighted(s, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3) % 11; c == 10 {
				c = 0
			}
		}
		return s + strconv.Itoa(c)
	},
	func(m *maker) string { // Finland
		y, mo, d := m.born()
		n := fmt.Sprintf("%02d%02d%02d", d, mo, y%100)
		serial := fmt.Sprintf("%03d", m.between(2, 899))
		all, _ := strconv.Atoi(n + serial)
		return n + map[bool]string{true: "A", false: "-"}[y >= 2000] + serial + string("0123456789ABCDEFHJKLMNPRSTUVWXY"[all%31])
	},
	func(m *maker) string { // Norway
		for {
			y, mo, d := m.born()
			s := fmt.Sprintf("%02d%02d%02d%03d", d, mo, y%100, m.between(100, 499))
			a := (11 - weighted(s, 3, 7, 6, 1, 8, 9, 4, 5, 2)%11) % 11
			if a == 10 {
				continue
			}
			s += strconv.Itoa(a)
			if b := (11 - weighted(s, 5, 4, 3, 2, 7, 6, 5, 4, 3, 2)%11) % 11; b < 10 {
				return s[:6] + m.of("", " ") + s[6:] + strconv.Itoa(b)
			}
		}
	},
	func(m *maker) string { // Denmark
		y, mo, d := m.born()
		return fmt.Sprintf("%02d%02d%02d-%s", d, mo, y%100, m.digits(4))
	},
	func(m *maker) string { // Sweden
		y, mo, d := m.born()
		s := fmt.Sprintf("%02d%02d%02d%03d", y%100, mo, d, m.IntN(1000))
		return m.of("", strconv.Itoa(y/100)) + s[:6] + "-" + s[6:] + luhn(s)
	},
	func(m *maker) string { // Belgium
		y, mo, d := m.born()
		s := fmt.Sprintf("%02d%02d%02d%03d", y%100, mo, d, m.between(1, 997))
		n, _ := strconv.Atoi(s)
		if y >= 2000 {
			n += 2_000_000_000
		}
		return fmt.Sprintf("%s.%s.%s-%s.%02d", s[:2], s[2:4], s[4:6], s[6:], 97-n%97)
	},
	func(m *maker) string { // Bulgaria
		y, mo, d := m.born()
		if y >= 2000 {
			mo += 40
		}
		s := fmt.Sprintf("%02d%02d%02d%03d", y%100, mo, d, m.IntN(1000))
		return s + strconv.Itoa(weighted(s, 2, 4, 8, 5, 10, 9, 7, 3, 6)%11%10)
	},
	func(m *maker) string { // Romania
		y, mo, d := m.born()
		s := fmt.Sprintf("%d%02d%02d%02d%02d%03d", 1+m.IntN(2)+4*(y/2000), y%100, mo, d, m.between(1, 46), m.between(1, 999))
		c := weighted(s, 2, 7, 9, 1, 4, 6, 3, 5, 8, 2, 7, 9) % 11
		return s + strconv.Itoa(c%10+c/10)
	},
	func(m *maker) string { // Croatia
		s, a := m.digits(10), 10
		for i := range 10 {
			if a = (a + int(s[i]-'0')) % 10; a == 0 {
				a = 10
			}
			a = a * 2 % 11
		}
		return s + strconv.Itoa((11-a)%10)
	},
	func(m *maker) string { // Turkey
		s := m.digits(9)
		odd := weighted(s, 1, 0, 1, 0, 1, 0, 1, 0, 1)
		even := weighted(s, 0, 1, 0, 1, 0, 1, 0, 1, 0)
		s += strconv.Itoa(((7*odd-even)%10 + 10) % 10)
		return s + strconv.Itoa(weighted(s, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1)%10)
	},
	func(m *maker) string { // Chile
		s := m.digits(8)
		c := "0K987654321"[weighted(s, 3, 2, 7, 6, 5, 4, 3, 2)%11]
		return s[:2] + "." + s[2:5] + "." + s[5:] + "-" + string(c)
	},
	func(m *maker) string { // Brazil
		s := m.digits(9)
		a := weighted(s, 10, 9, 8, 7, 6, 5, 4, 3, 2) * 10 % 11 % 10
		s += strconv.Itoa(a)
		b := weighted(s, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2) * 10 % 11 % 10
		return s[:3] + "." + s[3:6] + "." + s[6:9] + "-" + s[9:] + strconv.Itoa(b)
	},
	func(m *maker) string { // Korea
		y, mo, d := m.born()
		return fmt.Sprintf("%02d%02d%02d-%d%s", y%100, mo, d, 1+m.IntN(2)+2*(y/2000), m.digits(6))
	},
	func(m *maker) string { // China
		y, mo, d := m.born()
		s := m.of("110105", "440308", "310115") + fmt.Sprintf("%d%02d%02d%03d", y, mo, d, m.IntN(1000))
		return s + string("10X98765432"[weighted(s, 7, 9, 10, 5, 8, 4, 2, 1, 6, 3, 7, 9, 10, 5, 8, 4, 2)%11])
	},
	func(m *maker) string { // South Africa
		y, mo, d := m.born()
		s := fmt.Sprintf("%02d%02d%02d%04d08", y%100, mo, d, m.IntN(10000))
		return s[:6] + m.of("", " ") + s[6:] + luhn(s)
	},
	func(m *maker) string { // Canada
		s := m.digits(8)
		s += luhn(s)
		return s[:3] + " " + s[3:6] + " " + s[6:]
	},
	func(m *maker) string {
		return strings.ToUpper(m.letters(5)) + m.digits(4) + strings.ToUpper(m.letters(1))
	}, // India, taxes
	func(m *maker) string { // Ireland
		s := m.digits(7)
		return s + string("WABCDEFGHIJKLMNOPQRSTUV"[weighted(s, 8, 7, 6, 5, 4, 3, 2)%23])
	},
	func(m *maker) string { return strings.ToUpper(m.letters(3)) + m.digits(4) }, // New Zealand, health
	func(m *maker) string { // Latvia, older form
		y, mo, d := m.born()
		return fmt.Sprintf("%02d%02d%02d-1%s", d, mo, y%100, m.digits(4))
	},
	func(m *maker) string { // Czechia
		for {
			y, mo, d := m.born()
			if m.IntN(2) == 0 {
				mo += 50
			}
			s := fmt.Sprintf("%02d%02d%02d%03d", y%100, mo, d, m.IntN(1000))
			n, _ := strconv.Atoi(s)
			if c := (11 - n*10%11) % 11; c < 10 {
				return s[:6] + "/" + s[6:] + strconv.Itoa(c)
			}
		}
	},
}

func (m *maker) letters(n int) string {
	var b strings.Builder
	for range n {
		b.WriteByte("abcdefghjklmnprstuvwxyz"[m.IntN(23)])
	}
	return b.String()
}

// iban has its check digits right (ISO 13616, ISO 7064 mod 97-10).
func (m *maker) iban() string {
	country := m.of("EE", "LV", "LT", "GE", "HR", "SI", "BG", "FI", "NO", "HU")
	length := map[string]int{"EE": 16, "LV": 17, "LT": 16, "GE": 18, "HR": 17, "SI": 15, "BG": 18, "FI": 14, "NO": 11, "HU": 24}[country]
	body := m.digits(length)
	if country == "LV" || country == "BG" {
		body = strings.ToUpper(m.letters(4)) + m.digits(length-4)
	}
	rest := 0
	for _, r := range body + country + "00" {
		if r >= 'A' {
			rest = (rest*100 + int(r-'A') + 10) % 97
		} else {
			rest = (rest*10 + int(r-'0')) % 97
		}
	}
	whole := fmt.Sprintf("%s%02d%s", country, 98-rest, body)
	if m.IntN(2) == 0 {
		return whole
	}
	var groups []string
	for len(whole) > 4 {
		groups, whole = append(groups, whole[:4]), whole[4:]
	}
	return strings.Join(append(groups, whole), " ")
}

func (m *maker) phone() string {
	groups := func(sizes ...int) string {
		var parts []string
		for _, n := range sizes {
			parts = append(parts, m.digits(n))
		}
		return strings.Join(parts, m.of(" ", " ", "-", ".", " "))
	}
	switch m.IntN(9) {
	case 0:
		return "+372 5" + groups(3, 4)
	case 1:
		return "+371 2" + groups(1, 3, 3)
	case 2:
		return "00 995 5" + groups(2, 2, 2, 2)
	case 3:
		return "0" + groups(2, 3, 2, 2)
	case 4:
		return "(0" + m.digits(2) + ") " + groups(3, 4)
	case 5:
		return "+64 21 " + groups(3, 4)
	case 6:
		return "0" + groups(1, 2, 2, 2, 2)
	case 7:
		return "tel. " + groups(3, 3, 3)
	}
	return "+91 9" + groups(4, 5)
}
