package values

import "strings"

// Letters of a jaw that mean one thing in one language and another elsewhere (common
// practice, no source): U is upper in English and unten (lower) in German, O is oben (upper)
// in German and onder (lower) in Dutch, B is boven (upper) in Dutch and bas (lower) in French.
// The Scandinavian languages write O and U as German does.
const JawLetters = "UOB"

// Jaws says for each of JawLetters whether a file means 'U' by it, upper, or 'L', lower; a
// letter that it lacks is as Tooth, quadrant and arch have it.
type Jaws map[byte]byte

// JawLetter finds the letter of the jaw in a tooth such as "OL3" or "RO 3", in a quadrant or,
// alone, in a column of jaws: one of JawLetters, 'L' for an English lower or 'H' for a French
// upper one beside the letter of a side, and 0 for anything else.
func JawLetter(text string, alone bool) byte {
	code := jawCode(text)
	switch {
	case len(code) == 1 && alone && strings.Contains(JawLetters+"LH", code):
		return code[0]
	case len(code) != 2:
		return 0
	case strings.Contains("RL", code[1:]) && strings.Contains(JawLetters+"L", code[:1]):
		return code[0]
	case strings.Contains("RL", code[:1]) && strings.Contains(JawLetters, code[1:]):
		return code[1]
	case strings.Contains("DG", code[1:]) && strings.Contains("HB", code[:1]):
		return code[0]
	}
	return 0
}

// jawCode is a text without the number of the tooth and what parts it.
func jawCode(text string) string { return strings.Trim(capitals(text), " -_.12345678") }

// capitals are those of a code; Swedish and Norwegian write över and over with other letters.
func capitals(text string) string { return plainO.Replace(strings.ToUpper(strings.TrimSpace(text))) }

var plainO = strings.NewReplacer("Ö", "O", "Ø", "O")

// English writes a text in the letters of English quadrants, as the file means its own:
// "RO 3" becomes "UR3" where O is oben.
func (j Jaws) English(text string, alone bool) string {
	if len(j) == 0 { // nearly every file
		return text
	}
	jaw, ok := j[JawLetter(text, alone)]
	if !ok {
		return text
	}
	code := jawCode(text)
	if len(code) == 1 {
		return string(jaw)
	}
	side := code[1:]
	if strings.Contains("RL", code[:1]) {
		side = code[:1]
	}
	side = strings.NewReplacer("D", "R", "G", "L").Replace(side) // droite, gauche
	return string(jaw) + side + strings.Trim(capitals(text), " -_."+code)
}
