package sheet

import (
	"encoding/xml"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/rules"
)

// longestFormat of a number format in bytes; spreadsheet programs allow 255
// characters (common practice, no source).
const longestFormat = 4096

// readStyles reads what the number format of each cell format says: all of the
// formats that matter here.
func (f *frame) readStyles() error {
	inCells := 0 // depth below the list of cell formats; a style has formats too
	return f.p.walk(f.lay.styles, func(t *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "numFmt":
			return f.numberFormat(e)
		case "cellXfs":
			inCells = len(t.open)
		case "xf":
			if inCells == 0 || len(t.open) != inCells+1 || t.open[inCells-1] != "cellXfs" {
				return nil
			}
			return f.cellFormat(e)
		case "cellStyle":
			if attr(e, "builtinId") == "" {
				return f.text("name of a style", attr(e, "name"))
			}
		}
		return nil
	})
}

func (f *frame) numberFormat(e xml.StartElement) error {
	id, err := strconv.Atoi(attr(e, "numFmtId"))
	code := attr(e, "formatCode")
	switch {
	case err != nil:
		return damaged("a number format has no number")
	case len(code) > longestFormat:
		return rules.New(rules.FileTooLarge, "a number format is longer than %d bytes", longestFormat)
	case len(f.formats) >= f.p.limits.Styles:
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d number formats", f.p.limits.Styles)
	}
	f.formats[id] = code
	if err := f.text("number format", escaped(code)); err != nil {
		return err
	}
	return f.quoted("number format", clockWords.Replace(code))
}

// escaped gives the letters that a format code shows as they are, each after a backslash.
func escaped(code string) string {
	var b strings.Builder
	letters := 0
	for at := 0; at < len(code); {
		if code[at] != '\\' || at+1 == len(code) {
			at++
			continue
		}
		r, n := utf8.DecodeRuneInString(code[at+1:])
		b.WriteRune(r)
		at += 1 + n
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			letters++
		}
	}
	if letters < 3 { // a separator, a unit
		return ""
	}
	return b.String()
}

// clockWords are the words of the East Asian built-in times and dates (ECMA-376
// part 1, 18.8.30), which some programs write out in every workbook.
var clockWords = strings.NewReplacer("\u4e0a\u5348", "", "\u4e0b\u5348", "", "\u6642", "", "\u65f6", "", "\u5206", "", "\u79d2", "", "\u5e74", "", "\u6708", "", "\u65e5", "")

func (f *frame) cellFormat(e xml.StartElement) error {
	if len(f.styles) >= f.p.limits.Styles {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d cell formats", f.p.limits.Styles)
	}
	id := 0
	if s := attr(e, "numFmtId"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			return damaged("a cell format refers to no number format")
		}
		id = n
	}
	ns := plainStyle
	code, own := f.formats[id]
	switch {
	case own:
		ns = classify(code)
	case builtinDate(id):
		ns = dateStyle
	case id == 9 || id == 10:
		ns = percentStyle
	}
	f.styles = append(f.styles, ns)
	return nil
}
