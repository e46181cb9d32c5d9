package wording

import (
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Capital starts a line with a capital letter.
func Capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// Teeth names a tooth class in the plural.
func Teeth(c casebook.ToothClass) string {
	if c == casebook.NoClass {
		return "all teeth"
	}
	return c.String() + "s"
}

// Style of a feature as a row label.
func Style(s casebook.Style) string {
	switch s {
	case casebook.NoStyle:
		return "all styles"
	case casebook.StyleNone:
		return "no attachment"
	}
	return s.String()
}

// Place names where: a tooth in the reader's notation, or arch and class.
func Place(by results.By, n casebook.Notation) string {
	if by.Tooth != 0 {
		return "tooth" + nbsp + by.Tooth.In(n)
	}
	s := Teeth(by.ToothClass)
	if by.Arch == casebook.NoArch {
		return s
	}
	if by.ToothClass == casebook.NoClass {
		return by.Arch.String() + " arch"
	}
	return by.Arch.String() + " " + s
}

// Course names the stratum; both where none is given.
func Course(c results.CourseStratum) string {
	switch c {
	case results.Initial:
		return "initial"
	case results.Refinement:
		return "refinement"
	}
	return "initial and refinement together"
}

// Period of the audit by quarters.
func Period(s results.Scope) string {
	first, last := s.First.Quarter(), s.Last.Quarter()
	switch {
	case first == "" && last == "":
		return "period not recorded"
	case first == last || last == "":
		return first
	case first == "":
		return last
	}
	return first + " to " + last
}

// Practices lists the codes, as one word where there is one.
func Practices(codes []string) string {
	switch len(codes) {
	case 0:
		return "practice not recorded"
	case 1:
		return "practice " + codes[0]
	}
	return "practices " + strings.Join(codes, ", ")
}

// Level of confidence: "95 %".
func Level(level float64) string {
	return strings.TrimSuffix(Fixed(results.Number(level*100), 1), ".0") + nbsp + "%"
}

// Warning as a footnote: what is wrong and what would mend it.
func Warning(w results.Warning) string { return Sentence(w.Text) + remedy(w.Remedy) }

func remedy(s string) string {
	if s == "" {
		return ""
	}
	return " " + Sentence(s)
}

// Sentence closes a text with a full stop and opens it with a capital.
func Sentence(s string) string {
	s = Capital(strings.TrimSpace(s))
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?!:") {
		return s
	}
	return s + "."
}

// Unit names the unit of a scale or column: "mm", "degrees".
func Unit(u casebook.Unit) string {
	if u == casebook.Degree {
		return "degrees"
	}
	return u.Symbol()
}

// OnSheet says where all rows of a table are.
func OnSheet(name string) string { return "sheet “" + name + "” of the results workbook" }

// Lower goes on with a text that began a sentence.
func Lower(s string) string {
	for i, r := range s {
		return strings.ToLower(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// List joins words: "a, b and c".
func List(words []string) string {
	switch n := len(words); n {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// TidyP turns "P = < 0.001" into "P < 0.001".
func TidyP(s string) string {
	return strings.NewReplacer("P = <"+nbsp, "P"+nbsp+"<"+nbsp, "P = >"+nbsp, "P"+nbsp+">"+nbsp, "P = ", "P"+nbsp+"="+nbsp).Replace(s)
}

// Way names a way of measuring.
func Way(m casebook.Method) string {
	if m == casebook.NoMethod {
		return "not recorded"
	}
	return m.String()
}

// Correction names a correction for many comparisons.
func Correction(setting string) string {
	if setting == "holm" {
		return "Holm"
	}
	return "Benjamini and Hochberg"
}

// Measured adds to a text how it was measured, where that is recorded.
func Measured(text string, m casebook.Method) string {
	if m == casebook.NoMethod {
		return text
	}
	return text + ", " + m.String()
}
