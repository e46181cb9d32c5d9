package sheet

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// damaged is the error of a malformed sheet; it says what is wrong in words
// that hold no cell value.
func damaged(format string, args ...any) error {
	return rules.New(rules.SheetDamaged, format, args...)
}

// problemOf turns any error into a problem of a damaged sheet.
func problemOf(err error) casebook.Problem {
	if p, ok := errors.AsType[casebook.Problem](err); ok {
		return p
	}
	p, _ := errors.AsType[casebook.Problem](inFile(err, ""))
	if p.Rule == string(rules.FileDamaged) {
		p = rules.New(rules.SheetDamaged, "the sheet is cut off or malformed")
	}
	return p
}

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

// unescape decodes the _xHHHH_ form in which the format stores control
// characters (ECMA-376 part 1, 22.9.2.19).
func unescape(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var sb strings.Builder
	for i := 0; i < len(s); i++ {
		if i+7 <= len(s) && s[i] == '_' && s[i+1] == 'x' && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil {
				sb.WriteRune(rune(n))
				i += 6
				continue
			}
		}
		sb.WriteByte(s[i])
	}
	return sb.String()
}

// textsDamaged names the texts where a sheet would be named otherwise.
func textsDamaged(err error) error {
	if p := problemOf(err); p.Rule != string(rules.SheetDamaged) {
		return p
	}
	return rules.New(rules.FileDamaged, "the texts of the workbook are cut off or malformed")
}

// sharedTexts reads the texts that cells refer to by number.
func (p *pack) sharedTexts(ctx context.Context, part string) ([]string, error) {
	if part == "" {
		return nil, nil
	}
	rc, err := p.open(part)
	if err != nil {
		return nil, err
	}
	defer rc.Close()
	var out []string
	t := newTokens(rc)
	for {
		tok, err := t.next()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, textsDamaged(err)
		}
		e, ok := tok.(xml.StartElement)
		switch {
		case ok && e.Name.Local == "sst":
			out = p.quickTexts(t, out)
		case ok && e.Name.Local == "si":
			s, err := t.text(p.limits.CellBytes)
			if err != nil {
				return nil, textsDamaged(err)
			}
			if out = append(out, s); len(out) > p.limits.Cells {
				return nil, rules.New(rules.FileTooLarge, "the workbook holds more than %d texts", p.limits.Cells)
			}
			if len(out)%4096 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			out = p.quickTexts(t, out)
		}
	}
}
