package layout

import (
	"regexp"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/values"
)

// Scale is the fraction by which an amount is multiplied; the zero value is 1.
type Scale struct{ Num, Den int64 }

// Is1 reports a column that is in the unit itself.
func (s Scale) Is1() bool { return s == Scale{} }

// scales are units other than mm and degrees that a header may name (the inch is
// 25.4 mm: international yard and pound agreement, 1959).
var scales = []struct {
	find *regexp.Regexp
	by   Scale
}{
	{regexp.MustCompile(`(?i)(1\s*/\s*10|0[.,]1)\s*mm|\b(zehntel|tenths?|dixi[eè]mes?|d[eé]cimas?|decimi|d[eé]cimos?|tienden?|dziesi[aą]te)\b`), Scale{1, 10}},
	{regexp.MustCompile(`(?i)(1\s*/\s*100|0[.,]01)\s*mm|\b(hundertstel|hundredths?|centi[eè]mes?|cent[eé]simas?|centesimi|honderdsten?|setne)\b`), Scale{1, 100}},
	{regexp.MustCompile(`(?i)[µμ]m\b|\bmicron|\bmicrom|\bmikrom`), Scale{1, 1000}},
	{regexp.MustCompile(`(?i)\bcm\b|\bcentimet|\bzentimet|\bcent[ií]met`), Scale{10, 1}},
	{regexp.MustCompile(`(?i)\binch(es)?\b|[\[(]\s*in\.?\s*[\])]|\bzoll\b|\bpouces?\b|\bpulgadas?\b|\bpollici\b|\bpolegadas?\b`), Scale{254, 10}},
	{regexp.MustCompile(`(?i)\brad(ians?)?\b`), Scale{0, 1}},
}

// scaleOf finds such a unit in a header; rest is the header without it.
func scaleOf(text string) (by Scale, rest string) {
	for _, s := range scales {
		if at := s.find.FindStringIndex(text); at != nil {
			return s.by, strings.TrimSpace(text[:at[0]] + " " + text[at[1]:])
		}
	}
	return Scale{}, text
}

var firstCourse = regexp.MustCompile(`\b([0-9])\s*=\s*([^,;)]+)`)

// firstOf reads "(0 = first course)" out of a header of courses.
func firstOf(text string) casebook.Opt[int] {
	m := firstCourse.FindStringSubmatch(text)
	if m == nil {
		return casebook.Opt[int]{}
	}
	n, _ := strconv.Atoi(m[1])
	course, ok := values.CourseByWords(m[2])
	if !ok || course < 1 {
		return casebook.Opt[int]{}
	}
	return casebook.Some(n - course + 1)
}

// markOf is the style that a header names beside the attachment: "own
// attachment?", "attachment: none".
func markOf(s lexicon.Set) casebook.Style {
	own := s[lexicon.Own] || s[lexicon.Clinician]
	switch {
	case !s[lexicon.Attachment] && !s[lexicon.Style]:
	case s[lexicon.Software] && !own && !s[lexicon.Nothing]:
		return casebook.SoftwareSuggested
	case own && !s[lexicon.Software] && !s[lexicon.Nothing]:
		return casebook.ClinicianDesigned
	case s[lexicon.Nothing] && !own && !s[lexicon.Software]:
		return casebook.StyleNone
	}
	return casebook.NoStyle
}
