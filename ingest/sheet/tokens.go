package sheet

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"

	"shortfall/ingest/rules"
)

// tokens reads XML one token at a time and insists on what the decoder's raw
// tokens leave unchecked: matching ends, one root, an end, no declarations.
type tokens struct {
	d    *xml.Decoder
	src  *source // what d reads
	open []string
	root bool
}

func newTokens(r io.Reader) *tokens {
	src := newSource(r)
	return &tokens{d: xml.NewDecoder(src), src: src, open: make([]string, 0, 16)}
}

// next gives a start element, an end element or text; io.EOF only after the
// root element has ended.
func (t *tokens) next() (xml.Token, error) {
	for {
		tok, err := t.d.RawToken()
		if err == io.EOF && t.root && len(t.open) == 0 {
			return nil, io.EOF
		}
		if errors.Is(err, errPartTooLarge) {
			return nil, rules.New(rules.FileTooLarge, "a part is larger than it declares")
		}
		if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
			return nil, err
		}
		if err != nil {
			return nil, damaged("the XML is cut off or malformed")
		}
		switch e := tok.(type) {
		case xml.StartElement:
			if len(t.open) == 0 && t.root {
				return nil, damaged("the XML has two roots")
			}
			t.root = true
			if len(t.open) > 64 {
				return nil, damaged("the XML is nested too deeply")
			}
			t.open = append(t.open, e.Name.Local)
			return tok, nil
		case xml.EndElement:
			if len(t.open) == 0 || t.open[len(t.open)-1] != e.Name.Local {
				return nil, damaged("the XML is malformed")
			}
			t.open = t.open[:len(t.open)-1]
			return tok, nil
		case xml.CharData:
			if len(t.open) > 0 {
				return tok, nil
			}
		case xml.Directive:
			return nil, damaged("the XML declares entities")
		}
	}
}

// text collects the characters of t elements up to the end of the element that
// was just opened; phonetic guides are left out.
func (t *tokens) text(limit int) (string, error) {
	depth := len(t.open)
	var sb strings.Builder
	inT, phonetic := 0, 0
	for {
		tok, err := t.next()
		if err != nil {
			return "", err
		}
		switch e := tok.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "t":
				inT++
			case "rPh":
				phonetic++
			}
		case xml.EndElement:
			if len(t.open) < depth {
				return unescape(sb.String()), nil
			}
			switch e.Name.Local {
			case "t":
				inT--
			case "rPh":
				phonetic--
			}
		case xml.CharData:
			if inT > 0 && phonetic == 0 {
				sb.Write(e)
				if sb.Len() > limit {
					return "", rules.New(rules.FileTooLarge, "a cell holds more than %d bytes of text", limit)
				}
			}
		}
	}
}

// content collects all characters up to the end of the element that was just
// opened.
func (t *tokens) content(limit int) (string, error) {
	depth := len(t.open)
	var sb strings.Builder
	for {
		tok, err := t.next()
		if err != nil {
			return "", err
		}
		switch e := tok.(type) {
		case xml.CharData:
			sb.Write(e)
			if sb.Len() > limit {
				return "", rules.New(rules.FileTooLarge, "a text outside the cells is longer than %d bytes", limit)
			}
		case xml.EndElement:
			if len(t.open) < depth {
				return sb.String(), nil
			}
		}
	}
}

// prefixed gives an attribute by its local name, whatever its prefix.
func prefixed(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// plain collects the text up to the end of the element just opened: paragraphs
// on lines of their own, spaces and tabs as written. apart, where not nil, is shown the
// elements inside that are no text of the cell, and reads them to their end where it takes them.
func (t *tokens) plain(limit int, apart func(xml.StartElement) (bool, error)) (string, error) {
	depth := len(t.open)
	var sb strings.Builder
	paragraphs := 0
	for {
		tok, err := t.next()
		if err != nil {
			return "", err
		}
		switch e := tok.(type) {
		case xml.StartElement:
			if apart != nil {
				taken, err := apart(e)
				if err != nil {
					return "", err
				}
				if taken {
					continue
				}
			}
			switch e.Name.Local {
			case "p":
				if paragraphs++; paragraphs > 1 {
					sb.WriteByte('\n')
				}
			case "s":
				n, _ := strconv.Atoi(prefixed(e, "c"))
				sb.WriteString(strings.Repeat(" ", min(max(n, 1), limit)))
			case "tab":
				sb.WriteByte('\t')
			case "line-break":
				sb.WriteByte('\n')
			}
		case xml.EndElement:
			if len(t.open) < depth {
				return sb.String(), nil
			}
		case xml.CharData:
			sb.Write(e)
		}
		if sb.Len() > limit {
			return "", rules.New(rules.FileTooLarge, "a cell holds more than %d bytes of text", limit)
		}
	}
}

// skip passes over the element just opened.
func (t *tokens) skip() error {
	for depth := len(t.open); len(t.open) >= depth; {
		if _, err := t.next(); err != nil {
			return err
		}
	}
	return nil
}

// starts hands over every element that begins, to the end of the part.
func (t *tokens) starts(each func(xml.StartElement) error) error {
	for {
		tok, err := t.next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if e, ok := tok.(xml.StartElement); ok {
			if err := each(e); err != nil {
				return err
			}
		}
	}
}
