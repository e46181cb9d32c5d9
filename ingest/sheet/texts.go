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
