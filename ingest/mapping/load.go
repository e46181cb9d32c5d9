package mapping

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"shortfall/ingest/scratch"
	"shortfall/ingest/values"
)

// largest size of a mapping file in bytes; a person writes it.
const largest = 1 << 20

// Invalid is the error of a mapping file: every fault, one a line.
type Invalid struct {
	Name   string
	Faults []string
}

func (e *Invalid) Error() string {
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		lines[i] = e.Name + ": " + f
	}
	return strings.Join(lines, "\n")
}

// Load reads a mapping file. The error is an *Invalid that lists every fault,
// or that of the operating system.
func Load(path string) (*File, error) {
	data, err := scratch.Read(path, largest)
	if err != nil {
		return nil, err
	}
	return Parse(filepath.Base(path), data)
}

// Parse reads the text of a mapping file; name is for messages.
func Parse(name string, data []byte) (*File, error) {
	bad := &Invalid{Name: name}
	if len(data) > largest {
		bad.Faults = []string{"the file is larger than 1 MiB; a mapping is a page or two of text"}
		return nil, bad
	}
	var f File
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	err := dec.Decode(&f)
	if strict, ok := errors.AsType[*toml.StrictMissingError](err); ok {
		for i := range strict.Errors {
			bad.Faults = append(bad.Faults, unknownKey(&strict.Errors[i]))
		}
	} else if d, ok := errors.AsType[*toml.DecodeError](err); ok {
		row, _ := d.Position()
		bad.Faults = append(bad.Faults, fmt.Sprintf("line %d: %s", row, strings.TrimPrefix(d.Error(), "toml: ")))
	} else if err != nil {
		bad.Faults = append(bad.Faults, err.Error())
	}
	if len(bad.Faults) == 0 {
		bad.Faults = f.check()
	}
	if len(bad.Faults) > 0 {
		return nil, bad
	}
	return &f, nil
}

// unknownKey names the line, the key and the nearest key of the format.
func unknownKey(d *toml.DecodeError) string {
	row, _ := d.Position()
	key := d.Key()
	s := fmt.Sprintf("line %d: unknown key %q", row, strings.Join(key, "."))
	if len(key) == 0 {
		return s
	}
	if near := values.Nearest(key[len(key)-1], keysAt(key[:len(key)-1])); near != "" {
		s += fmt.Sprintf("; did you mean %q?", near)
	} else if all := keysAt(key[:len(key)-1]); len(all) > 0 {
		s += "; expected one of " + strings.Join(all, ", ")
	}
	return s
}

// keysAt lists the keys of the format under a path of keys.
func keysAt(path []string) []string {
	t := reflect.TypeFor[File]()
	for _, p := range path {
		i := slices.IndexFunc(reflect.VisibleFields(t), func(f reflect.StructField) bool { return f.Tag.Get("toml") == p })
		if i < 0 {
			return nil
		}
		t = reflect.VisibleFields(t)[i].Type
		for t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct {
			return nil
		}
	}
	var out []string
	for _, f := range reflect.VisibleFields(t) {
		out = append(out, f.Tag.Get("toml"))
	}
	return out
}
