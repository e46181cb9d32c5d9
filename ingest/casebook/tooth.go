package casebook

import (
	"fmt"
	"strconv"
)

// Tooth is a permanent tooth in FDI two-digit notation (ISO 3950): 11 to 18,
// 21 to 28, 31 to 38, 41 to 48.
type Tooth uint8

// ToothFromFDI checks a two-digit number.
func ToothFromFDI(n int) (Tooth, error) {
	q, p := n/10, n%10
	if q >= 1 && q <= 4 && p >= 1 && p <= 8 {
		return Tooth(n), nil
	}
	if q >= 5 && q <= 8 && p >= 1 && p <= 5 {
		return 0, fmt.Errorf("deciduous tooth in FDI notation: only permanent teeth are audited")
	}
	return 0, fmt.Errorf("not an FDI tooth: expected 11-18, 21-28, 31-38 or 41-48")
}

// ToothFromUniversal converts a number 1 to 32: 1 is FDI 18, 16 is 28, 17 is
// 38, 32 is 48.
func ToothFromUniversal(n int) (Tooth, error) {
	switch {
	case n >= 1 && n <= 8:
		return Tooth(19 - n), nil
	case n >= 9 && n <= 16:
		return Tooth(12 + n), nil
	case n >= 17 && n <= 24:
		return Tooth(55 - n), nil
	case n >= 25 && n <= 32:
		return Tooth(16 + n), nil
	}
	return 0, fmt.Errorf("not a Universal tooth: expected 1 to 32")
}

// ToothFromPalmer converts a quadrant (UR, UL, LL, LR) and a position 1 to 8.
func ToothFromPalmer(quadrant string, position int) (Tooth, error) {
	for q, name := range quadrantNames {
		if q > 0 && name == quadrant {
			return ToothFromFDI(10*q + position)
		}
	}
	return 0, fmt.Errorf("not a Palmer quadrant: expected UR, UL, LL or LR")
}

var quadrantNames = [...]string{"", "UR", "UL", "LL", "LR"}

// AllTeeth lists the 32 permanent teeth in chart order: upper right to upper
// left, then lower right to lower left, as seen facing the patient.
func AllTeeth() []Tooth {
	out := make([]Tooth, 0, 32)
	for _, row := range [][2]int{{1, 2}, {4, 3}} {
		for p := 8; p >= 1; p-- {
			out = append(out, Tooth(10*row[0]+p))
		}
		for p := 1; p <= 8; p++ {
			out = append(out, Tooth(10*row[1]+p))
		}
	}
	return out
}

// Valid reports whether t is a permanent tooth.
func (t Tooth) Valid() bool { _, err := ToothFromFDI(int(t)); return err == nil && t != 0 }

// Quadrant is 1 (upper right), 2 (upper left), 3 (lower left) or 4 (lower right).
func (t Tooth) Quadrant() int { return int(t) / 10 }

// Position counts from the midline, 1 to 8.
func (t Tooth) Position() int { return int(t) % 10 }

// String is the FDI number.
func (t Tooth) String() string { return strconv.Itoa(int(t)) }

// Universal is the number 1 to 32.
func (t Tooth) Universal() int {
	p := t.Position()
	switch t.Quadrant() {
	case 1:
		return 9 - p
	case 2:
		return 8 + p
	case 3:
		return 25 - p
	}
	return 24 + p
}

// Palmer is the quadrant in letters and the position: "UR3".
func (t Tooth) Palmer() string {
	if !t.Valid() {
		return ""
	}
	return quadrantNames[t.Quadrant()] + strconv.Itoa(t.Position())
}

// In writes the tooth in the reader's notation.
func (t Tooth) In(n Notation) string {
	switch n {
	case Universal:
		return strconv.Itoa(t.Universal())
	case Palmer:
		return t.Palmer()
	}
	return t.String()
}

// Arch of the tooth.
func (t Tooth) Arch() Arch {
	if t.Quadrant() <= 2 {
		return Upper
	}
	return Lower
}

// Class of the tooth.
func (t Tooth) Class() ToothClass {
	switch p := t.Position(); {
	case p <= 2:
		return Incisor
	case p == 3:
		return Canine
	case p <= 5:
		return Premolar
	}
	return Molar
}

// Notation is a way of writing teeth.
type Notation uint8

// The three notations in general use.
const (
	NoNotation Notation = iota
	FDI
	Universal
	Palmer
	endNotation
)

var notationNames = names{"", "fdi", "universal", "palmer"}

// ParseNotation reads "fdi", "universal" or "palmer".
func ParseNotation(s string) (Notation, error) {
	i, err := notationNames.index("tooth notation", s)
	return Notation(i), err
}

func (n Notation) String() string { return notationNames.text(uint8(n)) }

// MarshalText writes the name of the notation.
func (n Notation) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads the name of the notation.
func (n *Notation) UnmarshalText(b []byte) (err error) {
	*n, err = ParseNotation(string(b))
	return err
}

// Arch is the upper or the lower jaw.
type Arch uint8

// The two arches.
const (
	NoArch Arch = iota
	Upper
	Lower
	endArch
)

var archNames = names{"", "upper", "lower"}

// Arches lists upper and lower.
func Arches() []Arch { return all[Arch](archNames) }

func (a Arch) String() string { return archNames.text(uint8(a)) }

// MarshalText writes "upper" or "lower".
func (a Arch) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads "upper" or "lower".
func (a *Arch) UnmarshalText(b []byte) error {
	i, err := archNames.index("arch", string(b))
	*a = Arch(i)
	return err
}

// ToothClass groups teeth of like crown and root.
type ToothClass uint8

// The four classes.
const (
	NoClass ToothClass = iota
	Incisor
	Canine
	Premolar
	Molar
	endToothClass
)

var classNames = names{"", "incisor", "canine", "premolar", "molar"}

// ToothClasses lists the four classes, front to back.
func ToothClasses() []ToothClass { return all[ToothClass](classNames) }

func (c ToothClass) String() string { return classNames.text(uint8(c)) }

// MarshalText writes the name of the class.
func (c ToothClass) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads the name of the class.
func (c *ToothClass) UnmarshalText(b []byte) error {
	i, err := classNames.index("tooth class", string(b))
	*c = ToothClass(i)
	return err
}
