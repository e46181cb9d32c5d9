package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"shortfall/audit/results"
	"shortfall/report/schema"
)

// Schema is the JSON Schema (draft 2020-12) of what JSON writes.
func Schema() []byte { return append([]byte(nil), schema.Results...) }

// JSON writes the results, indented; the same results give the same bytes.
// Lists are never null: an empty one is [].
func JSON(w io.Writer, r *results.Results) error {
	b, err := json.Marshal(withLists(reflect.ValueOf(*r)).Interface())
	if err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	_, err = w.Write(append(byRows(b), '\n'))
	return err
}

// byRows indents JSON by two spaces a level, but for the rows of the top-level lists,
// each of which is one line: a table is read and compared by rows, and indenting every
// number of the grid adds half its size. b is as Marshal wrote it, without white space.
func byRows(b []byte) []byte {
	out := make([]byte, 0, len(b)+len(b)/8)
	depth, rows := 0, false
	line := func(least int) {
		if rows && depth > least {
			return
		}
		out = append(out, '\n')
		for range depth {
			out = append(out, "  "...)
		}
	}
	for i := 0; i < len(b); i++ {
		switch c := b[i]; c {
		case '"':
			end := i + endOfText(b[i:])
			out = append(out, b[i:end]...)
			i = end - 1
		case '{', '[':
			if depth == 1 {
				rows = c == '['
			}
			out = append(out, c)
			if b[i+1] == c+2 { // nothing in it: the closing sign is two further on in ASCII
				out = append(out, c+2)
				i++
				continue
			}
			depth++
			line(2)
		case '}', ']':
			depth--
			line(1)
			out = append(out, c)
		case ',':
			out = append(out, c)
			line(2)
		case ':':
			out = append(out, ": "...)
		default:
			out = append(out, c)
		}
	}
	return out
}

// endOfText is the length of the JSON string that b begins with.
func endOfText(b []byte) int {
	for i := 1; ; i++ {
		switch b[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
}

// ReadJSON reads results back, strictly: an unknown field, another major
// version or anything after the results is an error. Rendering what it gives
// makes the same pages as the results first written.
func ReadJSON(rd io.Reader) (*results.Results, error) {
	d := json.NewDecoder(rd)
	d.DisallowUnknownFields()
	r := &results.Results{}
	if err := d.Decode(r); err != nil {
		return nil, fmt.Errorf("reading results: %w. %s", readable(err), remedyVersion)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("reading results: something follows the results. Give a file written by --json, unchanged")
	}
	if major(r.SchemaVersion) != major(results.SchemaVersion) {
		return nil, fmt.Errorf("reading results: schema version %q, expected %s. %s", r.SchemaVersion, results.SchemaVersion, remedyVersion)
	}
	return r, nil
}

const remedyVersion = "Give a file written by --json of this version, or audit the records again"

// readable adds where in the file a syntax error is.
func readable(err error) error {
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("byte %d: %w", syntax.Offset, err)
	}
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return errors.New("the file ends too early")
	}
	return err
}

func major(version string) string {
	m, _, _ := strings.Cut(version, ".")
	return m
}

// withLists copies a value with an empty list in place of every nil one; the
// results themselves are left alone.
func withLists(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Struct:
		out := reflect.New(v.Type()).Elem()
		out.Set(v)
		for i := range v.NumField() {
			if f := out.Field(i); f.CanSet() {
				f.Set(withLists(v.Field(i)))
			}
		}
		return out
	case reflect.Slice:
		out := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			out.Index(i).Set(withLists(v.Index(i)))
		}
		return out
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		out := reflect.New(v.Type().Elem())
		out.Elem().Set(withLists(v.Elem()))
		return out
	}
	return v
}

// CaseJSON writes case sheets, indented; they follow "#/$defs/CaseSheets" of
// the same schema.
func CaseJSON(w io.Writer, s *results.CaseSheets) error {
	b, err := json.MarshalIndent(withLists(reflect.ValueOf(*s)).Interface(), "", "  ")
	if err != nil {
		return fmt.Errorf("writing case sheets: %w", err)
	}
	_, err = w.Write(append(b, '\n'))
	return err
}
