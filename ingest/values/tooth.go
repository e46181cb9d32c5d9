package values

import (
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Tooth is what one cell can mean in each notation; a zero is not a tooth.
type Tooth struct {
	FDI, Universal, Palmer casebook.Tooth
	Deciduous              bool
	Name                   ToothName // of a tooth in words: the same in every notation
}

// In gives the tooth in the notation of the file.
func (t Tooth) In(n casebook.Notation) (casebook.Tooth, error) {
	out := casebook.Tooth(0)
	switch n {
	case casebook.FDI:
		out = t.FDI
	case casebook.Universal:
		out = t.Universal
	case casebook.Palmer:
		out = t.Palmer
	}
	switch {
	case out != 0:
		return out, nil
	case t.Deciduous:
		return 0, fail(rules.ToothUnknown, "a deciduous tooth; only permanent teeth are audited")
	case t.Name != ToothName{}:
		return 0, fail(rules.ToothUnknown, "the name of the tooth does not say "+t.Name.Lacks())
	case t.FDI != 0 || t.Universal != 0 || t.Palmer != 0:
		return 0, fail(rules.ToothUnknown, "the tooth is not written in the notation of the file ("+n.String()+")")
	}
	return 0, fail(rules.ToothUnknown, "the cell is no permanent tooth in any notation")
}

// palmerSigns are the corner signs of the notation, as seen facing the patient:
// the number stands inside the corner of its quadrant.
var palmerSigns = map[rune]string{
	'┘': "UR", '⏌': "UR", '└': "UL", '⎿': "UL", '┐': "LR", '⏋': "LR", '┌': "LL", '⎾': "LL",
}

// ParseTooth reads "13", "13.0", "1.3", "#6", "UR3", "upper right 3", "3┘", "upper right canine".
func ParseTooth(s string) Tooth {
	t, _ := toothOf(s)
	return t
}

var toothOf = remembered(func(s string) (Tooth, error) { return anyTooth(s), nil })

func anyTooth(s string) Tooth {
	t := strings.ToUpper(strings.TrimSpace(strings.TrimLeft(tidy(s), "#")))
	if n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimSuffix(t, ".0"), ",0")); err == nil {
		return numbered(n)
	}
	if len(t) == 3 && t[1] == '.' {
		// "1.3": quadrant and position, a way of writing FDI.
		if n, err := strconv.Atoi(t[:1] + t[2:]); err == nil {
			return Tooth{FDI: numbered(n).FDI, Deciduous: numbered(n).Deciduous}
		}
	}
	if name, ok := ParseToothName(s); ok {
		is, _ := name.Tooth()
		return Tooth{FDI: is, Universal: is, Palmer: is, Name: name}
	}
	return palmer(t)
}

func numbered(n int) Tooth {
	var t Tooth
	t.FDI, _ = casebook.ToothFromFDI(n)
	t.Universal, _ = casebook.ToothFromUniversal(n)
	q, p := n/10, n%10
	t.Deciduous = q >= 5 && q <= 8 && p >= 1 && p <= 5
	return t
}

func palmer(t string) Tooth {
	words := t
	t = strings.NewReplacer("UPPER", "U", "LOWER", "L", "RIGHT", "R", "LEFT", "L", " ", "", "-", "", "_", "").Replace(t)
	// any order: no sign is part of what another becomes
	for sign, quadrant := range palmerSigns {
		t = strings.ReplaceAll(t, string(sign), quadrant)
	}
	if len(t) != 3 {
		return palmerWords(words)
	}
	quadrant, position := t[:2], t[2]
	if t[0] >= '1' && t[0] <= '8' {
		quadrant, position = t[1:], t[0]
	}
	if own, ok := ownQuadrants[quadrant]; ok {
		quadrant = own
	}
	if position >= 'A' && position <= 'E' {
		_, err := casebook.ToothFromPalmer(quadrant, 1)
		return Tooth{Deciduous: err == nil}
	}
	out, err := casebook.ToothFromPalmer(quadrant, int(position)-'0')
	if err != nil {
		return Tooth{}
	}
	return Tooth{Palmer: out}
}

// ownQuadrants are letters of other languages that no English quadrant has:
// Dutch (rechtsboven, linksonder), French (haut droite), Spanish and Italian
// (superior derecho, superiore sinistro), Polish (górna prawa), German (rechts unten). What
// O, U and B mean in a file is settled for the whole of it (Jaws); here they stand for what
// is a tooth at all (common practice, no source).
var ownQuadrants = map[string]string{
	"RB": "UR", "LB": "UL", "LO": "LL", "RO": "LR",
	"HD": "UR", "HG": "UL", "BG": "LL", "BD": "LR",
	"SD": "UR", "SI": "UL", "SS": "UL", "II": "LL", "IS": "LL", "ID": "LR", "SE": "UL", "SG": "UL", "IE": "LL", "IG": "LL", // or as Quadrants says
	"DS": "UR", "DI": "LR",
	"GP": "UR", "GL": "UL", "DL": "LL", "DP": "LR",
	"OR": "UR", "OL": "UL", "RU": "LR", "LU": "LL", "BR": "UR", "BL": "UL",
}

// palmerWords reads "prawa górna 3" or "rechts oben 3".
func palmerWords(t string) Tooth {
	fields := strings.Fields(strings.NewReplacer(",", " ", "-", " ", ".", " ").Replace(t))
	if len(fields) < 2 || len(fields) > 5 {
		return Tooth{}
	}
	for _, at := range []int{len(fields) - 1, 0} {
		n, err := strconv.Atoi(fields[at])
		if err != nil || n < 1 || n > 8 {
			continue
		}
		rest := strings.Join(fields[:at], " ")
		if at == 0 {
			rest = strings.Join(fields[1:], " ")
		}
		if out, err := casebook.ToothFromPalmer(ParseQuadrant(rest), n); err == nil {
			return Tooth{Palmer: out}
		}
	}
	return Tooth{}
}

// Notations counts the teeth of a file that decide its notation.
type Notations struct {
	Teeth                  int // cells that are a tooth in some notation
	FDI, Universal, Palmer int // cells that are a tooth in this notation alone
}

// Note looks at what so many cells hold.
func (n *Notations) Note(t Tooth, cells int) {
	switch {
	case t.Name != ToothName{}:
		return // a name is of no notation
	case t.Palmer != 0:
		n.Palmer += cells
	case t.FDI != 0 && t.Universal == 0:
		n.FDI += cells
	case t.Universal != 0 && t.FDI == 0:
		n.Universal += cells
	case t.FDI == 0:
		return
	}
	n.Teeth += cells
}

// strays is the share of deciding teeth, one in so many, that may contradict
// the others and be taken for slips of the pen.
const strays = 20

// Decide gives the notation that the evidence supports, or NoNotation.
func (n Notations) Decide() casebook.Notation {
	all := n.FDI + n.Universal + n.Palmer
	for _, c := range []struct {
		count int
		is    casebook.Notation
	}{{n.FDI, casebook.FDI}, {n.Universal, casebook.Universal}, {n.Palmer, casebook.Palmer}} {
		if all > 0 && (all-c.count)*strays <= all {
			return c.is
		}
	}
	return casebook.NoNotation
}
