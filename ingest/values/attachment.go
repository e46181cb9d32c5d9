package values

import (
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// Attachment is all that one cell can say about an attachment.
type Attachment struct {
	Style       casebook.Style
	Shape       casebook.Shape
	Orientation casebook.Orientation
	SizeMM      casebook.Opt[float64]
	Lost        bool
}

// ParseAttachment reads a cell such as "own design, bevelled, 4 mm, vertical,
// lost": parts between commas or semicolons, each of which must be known. ok is
// false where the cell is no such list.
func ParseAttachment(s string) (Attachment, bool) {
	if !strings.ContainsAny(s, partsOf) {
		return Attachment{}, false
	}
	return attachmentOf(s)
}

// partsOf an attachment stand between these.
const partsOf = ";,/"

func attachmentOf(s string) (a Attachment, ok bool) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(partsOf, r) })
	if len(parts) < 2 || len(parts) > 6 {
		return Attachment{}, false
	}
	for i, part := range parts {
		part = strings.TrimSpace(part)
		if style, err := ParseStyle(part); i == 0 && err == nil {
			a.Style = style
			continue
		}
		if !a.takePart(part) {
			return Attachment{}, false
		}
	}
	return a, true
}

func (a *Attachment) takePart(part string) bool {
	if shape, err := ParseShape(part); err == nil && a.Shape == casebook.NoShape {
		a.Shape = shape
		return true
	}
	if o, err := ParseOrientation(part); err == nil && a.Orientation == casebook.NoOrientation {
		a.Orientation = o
		return true
	}
	if set := lexicon.Of(lexicon.Tokens(part)); set.Only([]lexicon.Concept{lexicon.Lost}, lexicon.Attachment) {
		a.Lost = true
		return true
	}
	number, cut := strings.CutSuffix(strings.ToLower(part), "mm")
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(number), ",", "."), 64)
	if err != nil || !cut || a.SizeMM.OK {
		return false
	}
	a.SizeMM = casebook.Some(v)
	return true
}
