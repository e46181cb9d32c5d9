// Package layout finds the tables in the cells of a file: where the header is,
// what kind of record the rows hold and which column is which field.
//
// Place in the pipeline: between sheet and ingest. What a header cannot decide
// is refused or left unread, never guessed; what a mapping file declares is
// taken from there.
package layout

import (
	"regexp"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/memo"
	"shortfall/ingest/values"
)

// Header is what the text of a column header says.
type Header struct {
	Field     columns.Field
	Canonical bool // written as in the template
	Unit      casebook.Unit
	// Axis, Direction, Tooth and Course are given by the header of a wide sheet.
	Axis      casebook.Axis
	Direction casebook.Direction
	Tooth     string
	Course    int
	// Alt is the field that the values of the column may prefer, Weak a header
	// with words that are not known: only with values that fit is it the field.
	Alt  columns.Field
	Weak bool
	// Notation is the tooth notation that the header names.
	Notation casebook.Notation
	// Scale turns the amounts of the column into the unit: 1/10 for tenths of a
	// millimetre. The zero value is 1.
	Scale Scale
	// First is the number that the header gives to the initial course: "(0 =
	// initial)"; -1 where it gives none.
	First casebook.Opt[int]
	// Outcome is named and not of what: an amount or a status, as the values show.
	Outcome bool
	// Mark is the style of which the column says yes or no.
	Mark casebook.Style
	// Rated says whether the header puts a rating before the outcome or after it.
	Rated casebook.Timing
	// AfterRefinement: the numbers of the column count refinements, not courses.
	AfterRefinement bool
}

// wide reports a column that belongs to one movement of a wide sheet.
func (h Header) wide() bool {
	return h.Axis != casebook.NoAxis || h.Tooth != "" || h.Course > 0 && h.Field != columns.Course
}

// names maps folded header texts to fields for one kind of table.
type names map[string]Header

// dictionaries by kind: a movement table may repeat the columns of its case
// and course.
var dictionaries = map[casebook.Kind]names{
	casebook.CaseKind:     dictionary(casebook.CaseKind),
	casebook.CourseKind:   dictionary(casebook.CourseKind),
	casebook.MovementKind: dictionary(casebook.MovementKind, casebook.CaseKind, casebook.CourseKind),
	casebook.RepeatKind:   dictionary(casebook.RepeatKind),
}

func dictionary(kinds ...casebook.Kind) names {
	n := names{}
	for _, k := range kinds {
		for _, d := range columns.Of(k) {
			header, _ := stripUnit(d.Header)
			n.add(header, d.Field, true)
			n.add(d.Field.String(), d.Field, true)
			for _, s := range d.Synonyms {
				n.add(s, d.Field, false)
			}
		}
	}
	return n
}

// add keeps the first meaning: movement before case before course.
func (n names) add(text string, f columns.Field, canonical bool) {
	if k := values.Key(text); n[k].Field == columns.NoField {
		n[k] = Header{Field: f, Canonical: canonical}
	}
}

var unitSuffix = regexp.MustCompile(`(?i)^(.*?)[\s_]*(?:[\(\[]\s*(mm or deg(?:rees)?|mm|millimet(?:re|er)s?|deg(?:rees?)?\.?|°|º|%|days?|years?|months?(?: worn)?)\s*[\)\]]|[\s_](?:in )?(mm|deg(?:rees?)?|°|º)|(°|%))\s*$`)

// phrases are the headers of columns of plain words without their small words.
var phrases = func() map[string]columns.Field {
	out := map[string]columns.Field{}
	for _, k := range casebook.Kinds() {
		for _, d := range columns.Plain(k) {
			for _, s := range append(d.Synonyms, d.Header) {
				if key := values.PlainKey(s); strings.Contains(key, " ") {
					out[key] = d.Field
				}
			}
		}
	}
	return out
}()

// stripUnit takes a unit off the end of a header.
func stripUnit(text string) (string, casebook.Unit) {
	text = strings.TrimSpace(text)
	m := unitSuffix.FindStringSubmatch(text)
	if m == nil || strings.TrimSpace(m[1]) == "" {
		return text, casebook.NoUnit
	}
	u, _ := values.ParseUnit(m[2] + m[3] + m[4])
	return m[1], u
}

var percentSign = regexp.MustCompile(`(?i)%|\bper ?cent(age)?\b`)

// inPercent turns the header of an amount in percent into that of a stated
// percentage: "achieved (%)" is no amount in degrees. A plan in percent has no
// meaning and stays unread.
func inPercent(h Header, text string) Header {
	if !percentSign.MatchString(text) {
		return h
	}
	switch h.Field {
	case columns.Achieved:
		h.Field, h.Canonical = columns.StatedPercent, false
	case columns.Planned, columns.Residual, columns.StartPosition, columns.EndPosition, columns.First, columns.Second:
		return Header{}
	}
	return h
}

var unitInside = regexp.MustCompile(`(?i)^(.*?\S)[\s_]*(?:[\(\[]\s*(mm|deg(?:rees?)?\.?|°|º)\s*[\)\]]|[\s_](mm|deg(?:rees?)?|°|º))[\s_]+(\S.*)$`)

// longestHeader that is read, in bytes; a longer text is no header.
const longestHeader = 400

// parse reads one header text as a column of a kind. A unit may stand inside
// it, where the upper of two header rows carries it: "rotation (deg) planned".
func parse(text string, k casebook.Kind) Header {
	if len(text) > longestHeader {
		return Header{}
	}
	return parsed.Get(headerText{text, k}, headerText.parse)
}

// parsed remembers headers: every row of a sheet's top is tried as one, by several
// readers.
var parsed memo.Memo[headerText, Header]

type headerText struct {
	text string
	kind casebook.Kind
}

func (t headerText) parse() Header {
	text, k := t.text, t.kind
	h := parseOne(text, k)
	if m := unitInside.FindStringSubmatch(text); m != nil && h.Field == columns.NoField {
		h = parseOne(m[1]+" "+m[4]+" ("+m[2]+m[3]+")", k)
	}
	words, ok := byConcepts(text, k)
	switch {
	case h.Field == columns.NoField && ok:
		unit := h.Unit
		if h = inPercent(words, text); h.Unit == casebook.NoUnit {
			h.Unit = unit
		}
	case h.Field == words.Field:
		h.Scale, h.First, h.Mark, h.Rated = words.Scale, words.First, words.Mark, words.Rated
		h.Alt, h.Notation, h.AfterRefinement, h.Outcome = words.Alt, words.Notation, words.AfterRefinement, words.Outcome
		if h.Unit == casebook.NoUnit {
			h.Unit = words.Unit
		}
	}
	if bothUnits.MatchString(text) {
		h.Unit = casebook.NoUnit
	}
	return h
}

// bothUnits is a header whose amounts are in the unit of each row's axis.
var bothUnits = regexp.MustCompile(`(?i)\bmm\s*[/,;|+]?\s*(or|oder|ou|o|of|lub)?\s*(°|º|deg)`)

func parseOne(text string, k casebook.Kind) Header {
	bare, unit := stripUnit(text)
	h, ok := dictionaries[k][values.Key(bare)]
	if !ok {
		h, ok = dictionaries[k][values.Key(text)]
	}
	if !ok && k == casebook.MovementKind {
		h, ok = parts(values.Key(bare))
	}
	if !ok && percentSign.MatchString(text) {
		// "% achieved", "rotation % achieved": the sign need not stand last.
		bare = strings.Join(strings.Fields(percentSign.ReplaceAllString(text, " ")), " ")
		if h, ok = dictionaries[k][values.Key(bare)]; !ok && k == casebook.MovementKind {
			h, _ = parts(values.Key(bare))
		}
	}
	h.Unit = unit
	return inPercent(h, text)
}

// shortRoles are role words found only next to an axis or a tooth.
var shortRoles = map[string]columns.Field{
	"plan": columns.Planned, "plnd": columns.Planned, "pred": columns.Planned, "p": columns.Planned,
	"ach": columns.Achieved, "act": columns.Achieved, "achvd": columns.Achieved, "a": columns.Achieved,
}

// wideRoles are the fields a wide column may hold.
var wideRoles = map[columns.Field]bool{
	columns.Planned: true, columns.Achieved: true, columns.Residual: true, columns.StartPosition: true,
	columns.EndPosition: true, columns.StatedPercent: true, columns.Style: true, columns.Shape: true,
	columns.Orientation: true, columns.FeatureSize: true, columns.Lost: true, columns.LostMonth: true,
	columns.Staging: true,
}

var palmerToken = regexp.MustCompile(`^[ul][rl][1-8]$`)

// parts reads a header that joins an axis or a tooth, or both, with a role:
// "13 rotation planned", "achieved torque UR3", "rotation (planned)".
func parts(key string) (Header, bool) {
	var h Header
	words := strings.Fields(strings.NewReplacer("(", " ", ")", " ", "[", " ", "]", " ", "#", " ", ",", " ").Replace(key))
	words = slices.DeleteFunc(words, func(w string) bool {
		number := len(w) <= 2 && strings.Trim(w, "0123456789") == ""
		if (number || palmerToken.MatchString(w)) && h.Tooth == "" {
			h.Tooth = strings.ToUpper(w)
			return true
		}
		return w == "tooth" || w == "movement"
	})
	words = h.takeCourse(words)
	if role, ok := role(words); ok && h.Tooth != "" {
		h.Field = role
		return h, wideRoles[role]
	}
	for n := min(len(words)-1, 6); n > 0; n-- {
		for at := 0; at+n <= len(words); at++ {
			axis, dir, err := values.ParseAxis(strings.Join(words[at:at+n], " "))
			if err != nil {
				continue
			}
			rest := slices.Concat(words[:at], words[at+n:])
			if r, ok := role(rest); ok && wideRoles[r] {
				h.Field, h.Axis, h.Direction = r, axis, dir
				return h, true
			}
		}
	}
	return Header{}, false
}

// takeCourse removes a course from the words of a wide header.
func (h *Header) takeCourse(words []string) []string {
	for i, w := range words {
		switch {
		case w == "initial":
			h.Course = 1
			return slices.Delete(words, i, i+1)
		case len(w) == 2 && w[0] == 'r' && w[1] >= '1' && w[1] <= '9':
			h.Course = int(w[1]-'0') + 1
			return slices.Delete(words, i, i+1)
		}
	}
	return words
}

func role(words []string) (columns.Field, bool) {
	text := strings.Join(words, " ")
	if f, ok := shortRoles[text]; ok {
		return f, true
	}
	h, ok := dictionaries[casebook.MovementKind][text]
	return h.Field, ok && wideRoles[h.Field]
}
