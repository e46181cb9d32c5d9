package layout

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/values"
)

// pattern is a set of concepts that a header may be made of, and the field it
// then names. The values of the column may prefer alt.
type pattern struct {
	need, allow []lexicon.Concept
	field, alt  columns.Field
	kind        casebook.Kind // only in tables of this kind; NoKind: in any
}

type concepts = []lexicon.Concept

// patterns are tried in order.
var patterns = []pattern{
	{concepts{lexicon.Quadrant, lexicon.Tooth}, concepts{lexicon.Number}, columns.Tooth, 0, 0},
	{concepts{lexicon.Tooth}, concepts{lexicon.Number, lexicon.Code, lexicon.Notation, lexicon.Type}, columns.Tooth, 0, 0},
	{concepts{lexicon.Notation}, concepts{lexicon.Number, lexicon.Code}, columns.Tooth, 0, 0},
	{concepts{lexicon.Quadrant, lexicon.Position}, concepts{lexicon.Number}, columns.Tooth, 0, 0},
	{concepts{lexicon.Quadrant}, concepts{lexicon.Number, lexicon.Code}, columns.Quadrant, 0, 0},
	{concepts{lexicon.Arch, lexicon.Side}, nil, columns.Quadrant, 0, 0},
	{concepts{lexicon.Arch}, concepts{lexicon.Upper, lexicon.Lower}, columns.Arch, 0, 0},
	{concepts{lexicon.Upper, lexicon.Lower}, nil, columns.Arch, 0, 0},
	{concepts{lexicon.Side}, concepts{lexicon.Right, lexicon.Left}, columns.Side, 0, 0},
	{concepts{lexicon.Right, lexicon.Left}, nil, columns.Side, 0, 0},

	{concepts{lexicon.Case, lexicon.Start}, concepts{lexicon.Month}, columns.StartMonth, 0, 0},
	{concepts{lexicon.Case, lexicon.End}, concepts{lexicon.Month}, columns.EndMonth, 0, 0},
	{concepts{lexicon.Case, lexicon.Age}, nil, columns.Age, columns.AgeBand, 0},
	{concepts{lexicon.Case, lexicon.Status}, nil, columns.Status, 0, 0},
	{concepts{lexicon.Case}, concepts{lexicon.Code, lexicon.Number}, columns.Case, 0, 0},
	{concepts{lexicon.Code}, nil, columns.Case, 0, 0},
	{concepts{lexicon.Practice}, concepts{lexicon.Code, lexicon.Number}, columns.Practice, 0, 0},
	{concepts{lexicon.Clinician}, concepts{lexicon.Code, lexicon.Number}, columns.Clinician, 0, 0},
	{concepts{lexicon.Age, lexicon.Band}, concepts{lexicon.Start}, columns.AgeBand, 0, 0},
	{concepts{lexicon.Age}, concepts{lexicon.Start}, columns.Age, columns.AgeBand, 0},
	{concepts{lexicon.Wear}, concepts{lexicon.Start, lexicon.Before, lexicon.After, lexicon.End}, columns.Wear, 0, 0},
	{concepts{lexicon.Status}, concepts{lexicon.End}, columns.Status, 0, 0},
	{concepts{lexicon.Interval}, concepts{lexicon.Aligner, lexicon.Count, lexicon.Changed}, columns.ChangeDays, 0, 0},

	{concepts{lexicon.Aligner, lexicon.Used}, concepts{lexicon.Count, lexicon.Number}, columns.AlignersUsed, 0, 0},
	{concepts{lexicon.Aligner}, concepts{lexicon.Planned, lexicon.Count, lexicon.Number}, columns.PlannedAligners, 0, casebook.CaseKind},
	{concepts{lexicon.Aligner, lexicon.Start}, concepts{lexicon.Planned, lexicon.Count, lexicon.Number}, columns.PlannedAligners, 0, casebook.CaseKind},
	{concepts{lexicon.Aligner, lexicon.Planned}, concepts{lexicon.Count, lexicon.Number}, columns.AlignersPlanned, 0, 0},
	{concepts{lexicon.Aligner, lexicon.Count}, nil, columns.PlannedAligners, 0, 0},

	{concepts{lexicon.Refinements}, concepts{lexicon.Count, lexicon.Number}, columns.Refinements, columns.Course, 0},
	{concepts{lexicon.Refinement, lexicon.Count}, nil, columns.Refinements, columns.Course, 0},
	{concepts{lexicon.Refinement}, concepts{lexicon.Number}, columns.Refinements, 0, casebook.CaseKind},
	{concepts{lexicon.Refinement}, concepts{lexicon.Number, lexicon.Code, lexicon.Course, lexicon.Aligner, lexicon.Start}, columns.Course, 0, 0},
	{concepts{lexicon.Course, lexicon.Start}, concepts{lexicon.Month}, columns.CourseStart, 0, 0},
	{concepts{lexicon.Course, lexicon.Month}, nil, columns.CourseStart, 0, 0},
	{concepts{lexicon.Course}, concepts{lexicon.Number, lexicon.Code, lexicon.Aligner}, columns.Course, 0, 0},

	{concepts{lexicon.Lost, lexicon.Month}, concepts{lexicon.Attachment}, columns.LostMonth, 0, 0},
	{concepts{lexicon.Lost}, concepts{lexicon.Attachment}, columns.Lost, 0, 0},
	{concepts{lexicon.Changed}, concepts{lexicon.Attachment, lexicon.By, lexicon.Clinician, lexicon.Style}, columns.Changed, 0, 0},
	{concepts{lexicon.Attachment, lexicon.Shape}, concepts{lexicon.Type}, columns.Shape, 0, 0},
	{concepts{lexicon.Shape}, nil, columns.Shape, 0, 0},
	{concepts{lexicon.Orientation}, concepts{lexicon.Attachment}, columns.Orientation, 0, 0},
	{concepts{lexicon.Attachment, lexicon.Size}, concepts{lexicon.Millimetre}, columns.FeatureSize, 0, 0},
	{concepts{lexicon.Attachment}, concepts{lexicon.Style, lexicon.By, lexicon.Clinician, lexicon.Type, lexicon.Software, lexicon.Own, lexicon.Nothing, lexicon.Yes, lexicon.No, lexicon.Changed, lexicon.Start, lexicon.Refinement, lexicon.Refinements}, columns.Style, columns.Shape, 0},
	{concepts{lexicon.Style}, concepts{lexicon.By, lexicon.Clinician, lexicon.Software, lexicon.Own}, columns.Style, columns.Shape, 0},
	{concepts{lexicon.Staging}, nil, columns.Staging, 0, 0},

	{concepts{lexicon.Unit}, concepts{lexicon.Millimetre, lexicon.Degree}, columns.Unit, 0, 0},
	{concepts{lexicon.Direction}, concepts{lexicon.Movement, lexicon.Planned}, columns.Direction, 0, 0},
	{concepts{lexicon.Movement}, concepts{lexicon.Type, lexicon.Tooth, lexicon.Direction}, columns.Axis, 0, 0},

	{concepts{lexicon.Planned, lexicon.Achieved, lexicon.Percent}, concepts{lexicon.Amount, lexicon.Movement}, columns.StatedPercent, 0, 0},
	{concepts{lexicon.Achieved, lexicon.Percent}, concepts{lexicon.Movement}, columns.StatedPercent, 0, 0},
	{concepts{lexicon.Percent}, nil, columns.StatedPercent, 0, 0},
	{concepts{lexicon.Before}, concepts{lexicon.Position, lexicon.Start, lexicon.Measured}, columns.StartPosition, 0, 0},
	{concepts{lexicon.Start, lexicon.Position}, concepts{lexicon.Measured}, columns.StartPosition, 0, 0},
	{concepts{lexicon.Position, lexicon.Planned}, concepts{lexicon.End, lexicon.After}, columns.TargetPosition, 0, 0},
	{concepts{lexicon.Position, lexicon.After}, concepts{lexicon.Measured, lexicon.End, lexicon.Achieved}, columns.EndPosition, 0, 0},
	{concepts{lexicon.Position, lexicon.End}, concepts{lexicon.Measured, lexicon.Achieved}, columns.EndPosition, 0, 0},
	{concepts{lexicon.Position, lexicon.Achieved}, concepts{lexicon.Measured}, columns.EndPosition, 0, 0},
	{concepts{lexicon.After}, concepts{lexicon.Measured, lexicon.Achieved}, columns.EndPosition, 0, 0},
	{concepts{lexicon.Position, lexicon.Target}, concepts{lexicon.Planned}, columns.TargetPosition, 0, 0},
	{concepts{lexicon.Planned}, concepts{lexicon.Movement, lexicon.Amount, lexicon.Target, lexicon.Shift, lexicon.Tooth}, columns.Planned, columns.Axis, 0},
	{concepts{lexicon.Target}, concepts{lexicon.Movement, lexicon.Amount}, columns.Planned, 0, 0},
	{concepts{lexicon.Achieved}, concepts{lexicon.Movement, lexicon.Amount, lexicon.Measured, lexicon.Shift, lexicon.End, lexicon.Tooth}, columns.Achieved, 0, 0},
	{concepts{lexicon.Outcome}, concepts{lexicon.End}, columns.Achieved, columns.Status, casebook.MovementKind},
	{concepts{lexicon.Outcome}, concepts{lexicon.End}, columns.Status, 0, casebook.CaseKind},
	{concepts{lexicon.Measured, lexicon.Movement}, concepts{lexicon.Amount}, columns.Achieved, 0, 0},
	{concepts{lexicon.Measured}, concepts{lexicon.Amount}, columns.Achieved, 0, casebook.MovementKind},
	{concepts{lexicon.Residual}, concepts{lexicon.Movement, lexicon.Amount}, columns.Residual, 0, 0},
	{concepts{lexicon.First}, concepts{lexicon.Measured}, columns.First, 0, casebook.RepeatKind},
	{concepts{lexicon.Second}, concepts{lexicon.Measured}, columns.Second, 0, casebook.RepeatKind},

	{concepts{lexicon.Start}, concepts{lexicon.Month}, columns.StartMonth, columns.StartPosition, 0},
	{concepts{lexicon.End}, concepts{lexicon.Month}, columns.EndMonth, columns.EndPosition, 0},
}

// allowed are the fields that a table of a kind may hold.
var allowed = func() map[casebook.Kind]map[columns.Field]bool {
	out := map[casebook.Kind]map[columns.Field]bool{}
	for k, n := range dictionaries {
		out[k] = map[columns.Field]bool{}
		for _, h := range n {
			out[k][h.Field] = true
		}
	}
	return out
}()

// fieldOf finds the field of a set of concepts within a kind of table.
func fieldOf(s lexicon.Set, k casebook.Kind) (field, alt columns.Field) {
	for _, p := range patterns {
		if (p.kind == casebook.NoKind || p.kind == k) && allowed[k][p.field] && s.Only(p.need, p.allow...) {
			if allowed[k][p.alt] {
				alt = p.alt
			}
			return p.field, alt
		}
	}
	return columns.NoField, columns.NoField
}

// byConcepts reads a header word by word: units in or out of brackets, words of
// role, movement, tooth and course in any order and language.
func byConcepts(text string, k casebook.Kind) (Header, bool) {
	h := Header{First: firstOf(text)}
	h.Scale, text = scaleOf(text)
	tokens := asHeader(lexicon.Tokens(firstCourse.ReplaceAllString(text, " ")))
	tokens = h.takeUnit(tokens)
	h.Notation = notationOf(tokens)
	h.takeOutcome(tokens)
	s := lexicon.Of(tokens)
	if s[lexicon.Person] || s[lexicon.Notes] {
		return Header{}, false
	}
	h.Weak = len(lexicon.Unknown(tokens)) > 0
	h.Mark = markOf(s)
	h.AfterRefinement = s[lexicon.Refinement] || s[lexicon.Refinements]
	if f := phrases[values.PlainKey(text)]; allowed[k][f] {
		h.Field, h.Weak = f, false
		return h, f != columns.NoField
	}
	if h.Field, h.Alt = fieldOf(s, k); h.Field == columns.Wear {
		h.Rated = ratedOf(s)
	}
	if h.Field == columns.Course && shortReference(tokens) {
		h.Alt = columns.Case
	}
	if h.Field != columns.NoField {
		return h, true
	}
	if k == casebook.MovementKind {
		return h.ofOneMovement(tokens)
	}
	return Header{}, false
}

// shortReference reports "Ref" and "Ref no", which are short for a refinement and for a
// reference.
func shortReference(tokens []lexicon.Token) bool {
	return !slices.ContainsFunc(tokens, func(t lexicon.Token) bool {
		return t.Concept != lexicon.Number && (t.Concept != lexicon.Refinement || !strings.HasPrefix(t.Text, "ref") || len(t.Text) > len("ref no"))
	})
}

// ratedOf reads whether a rating stands before the outcome or after it.
func ratedOf(s lexicon.Set) casebook.Timing {
	before, after := s[lexicon.Start] || s[lexicon.Before], s[lexicon.End] || s[lexicon.After]
	switch {
	case before && !after:
		return casebook.BeforeOutcome
	case after && !before:
		return casebook.AfterOutcome
	}
	return casebook.NoTiming
}

// asHeader settles words that mean one thing in a header and another in a cell.
func asHeader(tokens []lexicon.Token) []lexicon.Token {
	for i, t := range tokens {
		switch {
		case t.Concept == lexicon.No && (t.Text == "no" || t.Text == "n"):
			tokens[i].Concept = lexicon.Number
		case t.Text == "moved" && t.Concept == lexicon.Transferred:
			tokens[i].Concept = lexicon.Achieved // of a cell: the patient did
		case t.Text == "round" && t.Concept == lexicon.Dome && len(tokens) == 1:
			tokens[i].Concept = lexicon.Course // of a cell: a shape
		case t.Text == "ref" && t.Concept == lexicon.Refinement && slices.ContainsFunc(tokens, func(t lexicon.Token) bool { return t.Concept == lexicon.Case }):
			tokens[i].Concept = lexicon.Code // "Réf. patient"
		case t.Text == "in" && t.Concept == lexicon.Inward && (i == 0 || !besideSide(tokens, i)):
			tokens[i].Concept = lexicon.Filler
		case t.Concept == lexicon.Yes && len(t.Text) == 1, len(t.Text) == 1 && (t.Concept == lexicon.Left || t.Concept == lexicon.Right) && len(tokens) > 2:
			tokens[i].Concept = lexicon.Filler
		}
	}
	return tokens
}

// besideSide reports a side of the tooth just before a word: "mesial in".
func besideSide(tokens []lexicon.Token, i int) bool {
	c := tokens[i-1].Concept
	return c == lexicon.Mesial || c == lexicon.Distal
}

// takeUnit notes the unit a header names and removes it; mm and degrees
// together are no unit.
func (h *Header) takeUnit(tokens []lexicon.Token) []lexicon.Token {
	mm, deg := false, false
	out := slices.DeleteFunc(slices.Clone(tokens), func(t lexicon.Token) bool {
		mm = mm || t.Concept == lexicon.Millimetre
		deg = deg || t.Concept == lexicon.Degree
		return t.Concept == lexicon.Millimetre || t.Concept == lexicon.Degree
	})
	switch {
	case mm && !deg:
		h.Unit = casebook.Millimetre
	case deg && !mm:
		h.Unit = casebook.Degree
	}
	if len(lexicon.Of(out)) == 0 {
		return tokens // "mm/deg" alone names the unit itself
	}
	return out
}

// notations by the word that names them.
var notations = map[string]casebook.Notation{
	"fdi": casebook.FDI, "iso": casebook.FDI, "iso 3950": casebook.FDI, "two digit": casebook.FDI, "wg fdi": casebook.FDI,
	"universal": casebook.Universal, "ada": casebook.Universal, "palmer": casebook.Palmer, "zsigmondy": casebook.Palmer,
}

// NotationIn is the notation that a loose text names: "Tooth numbers are
// Universal".
func NotationIn(text string) casebook.Notation {
	tokens := lexicon.Tokens(text)
	if set := lexicon.Of(tokens); len(text) > 120 || !set[lexicon.Tooth] && len(tokens) > 3 {
		return casebook.NoNotation
	}
	return notationOf(tokens)
}

func notationOf(tokens []lexicon.Token) casebook.Notation {
	for _, t := range tokens {
		if n, ok := notations[t.Text]; ok {
			return n
		}
	}
	return casebook.NoNotation
}

// ofOneMovement reads the header of a wide sheet: a role, and the tooth, the
// axis or both, and perhaps the course.
func (h Header) ofOneMovement(tokens []lexicon.Token) (Header, bool) {
	tokens = short(h.takeToothAndCourse(tokens))
	axis, dir, rest, ok := lexicon.Axis(lexicon.Of(tokens))
	if ok {
		h.Axis, h.Direction = axis, dir
	} else if h.Tooth == "" && h.Course == 0 {
		return Header{}, false
	}
	delete(rest, lexicon.Movement)
	delete(rest, lexicon.Tooth)
	h.Field, _ = fieldOf(rest, casebook.MovementKind)
	h.Weak = len(lexicon.Unknown(tokens)) > 0
	if h.Axis == casebook.NoAxis && h.Tooth == "" && h.Field != columns.Planned && h.Field != columns.Achieved {
		return Header{}, false // a course alone is read only of amounts
	}
	return h, wideRoles[h.Field] && !h.Weak
}

// shortWords are read beside others in the header of one movement alone: "Tq pl" (common
// practice, no source).
var shortWords = map[string]lexicon.Concept{"tq": lexicon.Torque, "pl": lexicon.Planned, "pln": lexicon.Planned}

// short reads words of a header that are too short to be read anywhere else.
func short(tokens []lexicon.Token) []lexicon.Token {
	if len(tokens) < 2 {
		return tokens
	}
	out := slices.Clone(tokens)
	for i, t := range out {
		if c, ok := shortWords[t.Text]; ok && t.Concept == lexicon.None {
			out[i].Concept = c
		}
	}
	return out
}

func (h *Header) takeToothAndCourse(tokens []lexicon.Token) []lexicon.Token {
	var out []lexicon.Token
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		number := len(t.Text) <= 2 && strings.Trim(t.Text, "0123456789") == ""
		switch {
		case t.Concept == lexicon.Refinement && i+1 < len(tokens) && values.ParseTooth(tokens[i+1].Text).Universal != 0:
			h.Course, _ = values.ParseCourse("refinement " + tokens[i+1].Text)
			i++
		case (number || palmerToken.MatchString(t.Text)) && h.Tooth == "":
			h.Tooth = strings.ToUpper(t.Text)
		case len(t.Text) == 2 && t.Text[0] == 'r' && t.Text[1] >= '1' && t.Text[1] <= '9':
			h.Course = int(t.Text[1]-'0') + 1
		case t.Concept == lexicon.Start && i == 0, t.Concept == lexicon.Start && t.Text == "initial":
			h.Course = 1
		default:
			out = append(out, t)
		}
	}
	return out
}
