package sheet

import (
	"encoding/xml"
	"math"
	"strconv"
	"strings"
	"time"

	"shortfall/ingest/casebook"
)

// cell reads one cell; a covered one lies under a merged area and holds nothing.
func (in *odsReader) cell(t *tokens, e xml.StartElement, s *Sheet, ref string) (Cell, error) {
	shown, err := t.plain(in.limits.CellBytes, func(e xml.StartElement) (bool, error) {
		switch {
		case e.Name.Local == "annotation":
			return true, in.frame.annotation(t, s.Name, ref)
		case e.Name.Space == "draw": // a picture or a text box that lies on the cell
			return true, in.frame.drawn(t)
		case e.Name.Local == "a":
			return false, in.frame.text("link", prefixed(e, "href"))
		}
		return false, nil
	})
	if err == nil {
		err = in.frame.formula(prefixed(e, "formula"))
	}
	if err != nil || e.Name.Local == "covered-table-cell" {
		return Cell{}, err
	}
	kind := prefixed(e, "value-type")
	for _, a := range e.Attr {
		if a.Name.Local == "value-type" && a.Value == "error" {
			kind = "error" // an extension that LibreOffice writes beside the standard type
		}
	}
	c, err := odsValue(kind, e, shown)
	if p, ok := err.(casebook.Problem); ok {
		p.Cell = ref
		return c, p
	}
	return c, err
}

// odsValue turns the stored form into a cell.
func odsValue(kind string, e xml.StartElement, shown string) (Cell, error) {
	switch kind {
	case "float", "currency", "percentage":
		v := strings.TrimSpace(prefixed(e, "value"))
		if f, err := strconv.ParseFloat(v, 64); err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
			return Cell{}, damaged("a number is malformed")
		}
		return Cell{Kind: Number, Text: v, Percent: kind == "percentage"}, nil
	case "date":
		return odsDate(prefixed(e, "date-value"))
	case "boolean":
		return Cell{Kind: Bool, Text: map[bool]string{true: "TRUE", false: "FALSE"}[isTrue(prefixed(e, "boolean-value"))]}, nil
	case "error":
		return Cell{Kind: ErrorValue, Text: shown}, nil
	case "string", "time":
		if v := prefixed(e, "string-value"); v != "" {
			shown = v
		}
		if odsError(shown) && prefixed(e, "formula") != "" {
			return Cell{Kind: ErrorValue, Text: shown}, nil
		}
		return text(shown), nil
	case "":
		if prefixed(e, "formula") != "" && strings.TrimSpace(shown) == "" {
			return Cell{Kind: NoValue}, nil
		}
		return text(shown), nil
	}
	return Cell{}, damaged("a cell is of no known type")
}

// odsError reports what programs show in place of the value of a broken formula.
func odsError(s string) bool {
	return strings.HasPrefix(s, "Err:") || strings.HasPrefix(s, "#") && (strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") || s == "#N/A")
}

// odsDate turns an ISO date into the serial day that other workbooks store: days
// since 30 December 1899.
func odsDate(v string) (Cell, error) {
	day, _, _ := strings.Cut(v, "T")
	d, err := time.Parse("2006-01-02", day)
	if err != nil {
		return Cell{}, damaged("a date is malformed")
	}
	days := d.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24
	return Cell{Kind: Date, Text: strconv.Itoa(int(math.Round(days)))}, nil
}
