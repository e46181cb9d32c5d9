package report

import (
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/schema"
)

// The schema is built from the Go types and the meanings in schema/fields.txt:
//
//	go test ./report -run Schema -update

// words gives the texts an enumerated type can have.
func texts[T fmt.Stringer](list []T) []string {
	out := []string{""}
	for _, v := range list {
		out = append(out, v.String())
	}
	return out
}

func strs[T ~string](list ...T) []string {
	out := []string{}
	for _, v := range list {
		out = append(out, string(v))
	}
	return out
}

func toothNumbers() (out []int) {
	for _, t := range casebook.AllTeeth() {
		out = append(out, int(t))
	}
	return out
}

func typeOf[T any]() reflect.Type { return reflect.TypeFor[T]() }

var enums = map[reflect.Type][]string{
	typeOf[casebook.Axis]():         texts(casebook.Axes()),
	typeOf[casebook.Direction]():    texts(casebook.Directions()),
	typeOf[casebook.ToothClass]():   texts(casebook.ToothClasses()),
	typeOf[casebook.Arch]():         texts(casebook.Arches()),
	typeOf[casebook.Style]():        texts(casebook.Styles()),
	typeOf[casebook.Shape]():        texts(casebook.Shapes()),
	typeOf[casebook.Orientation]():  texts(casebook.Orientations()),
	typeOf[casebook.Status]():       texts(casebook.Statuses()),
	typeOf[casebook.Wear]():         texts(casebook.Wears()),
	typeOf[casebook.AgeBand]():      texts(casebook.AgeBands()),
	typeOf[casebook.Staging]():      texts(casebook.Stagings()),
	typeOf[casebook.Method]():       texts(casebook.Methods()),
	typeOf[casebook.Kind]():         texts(casebook.Kinds()),
	typeOf[casebook.Unit]():         texts([]casebook.Unit{casebook.Millimetre, casebook.Degree}),
	typeOf[casebook.Notation]():     texts([]casebook.Notation{casebook.FDI, casebook.Universal, casebook.Palmer}),
	typeOf[results.CourseStratum](): strs("", results.Initial, results.Refinement),
	typeOf[results.Verdict]():       strs("", results.Higher, results.Lower, results.NotDistinguishable, results.NotComparable),
	typeOf[results.Answer]():        strs("", results.Met, results.NotMet, results.NotEnoughData),
	typeOf[results.Role]():          strs(results.Plain, results.Caution, results.Item, results.Missing),
	typeOf[results.ExhibitKind]():   strs("", results.TableExhibit, results.FigureExhibit),
	typeOf[results.Measure]():       strs("", results.OutsideTolerance, results.ExpressionRatio, results.MeanShortfallOf, results.CasesRefined),
}

// meanings reads schema/fields.txt.
func meanings() (map[string]string, error) {
	b, err := os.ReadFile("schema/fields.txt")
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for i, line := range strings.Split(string(b), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, text, ok := strings.Cut(line, "\t")
		if !ok || out[key] != "" {
			return nil, fmt.Errorf("schema/fields.txt line %d: expected a new key, a tab and a meaning", i+1)
		}
		out[key] = text
	}
	return out, nil
}

// builder makes the schema; missing lists fields without a meaning.
type builder struct {
	meaning map[string]string
	used    map[string]bool
	defs    map[string]any
	missing []string
}

func (b *builder) say(typ, field string) string {
	for _, key := range []string{typ + "." + field, "*." + field} {
		if m := b.meaning[key]; m != "" {
			b.used[key] = true
			return m
		}
	}
	b.missing = append(b.missing, typ+"."+field)
	return ""
}

// jsonField is a field as encoding/json sees it.
type jsonField struct {
	name     string
	optional bool
	typ      reflect.Type
	owner    string
}

// jsonFields lists the fields of a struct, those of embedded structs included.
func jsonFields(t reflect.Type) []jsonField {
	var out []jsonField
	for i := range t.NumField() {
		f := t.Field(i)
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || !f.IsExported():
		case f.Anonymous && name == "":
			out = append(out, jsonFields(f.Type)...)
		default:
			if name == "" {
				name = f.Name
			}
			out = append(out, jsonField{name, strings.Contains(opts, "omit"), f.Type, t.Name()})
		}
	}
	for i := range out {
		out[i].owner = t.Name()
	}
	return out
}

func (b *builder) schemaOf(t reflect.Type) map[string]any {
	if words, ok := enums[t]; ok {
		return map[string]any{"type": "string", "enum": words}
	}
	switch t {
	case typeOf[results.Number]():
		return map[string]any{"type": []string{"number", "null"}}
	case typeOf[casebook.Month]():
		return map[string]any{"type": "string", "pattern": `^([0-9]{4}-[0-9]{2})?$`}
	case typeOf[casebook.Tooth]():
		return map[string]any{"type": "integer", "enum": toothNumbers()}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return b.schemaOf(t.Elem())
	case reflect.Slice:
		return map[string]any{"type": "array", "items": b.schemaOf(t.Elem())}
	case reflect.Struct:
		b.define(t)
		return map[string]any{"$ref": "#/$defs/" + t.Name()}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer", "minimum": 0}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	panic("schema: no rule for type " + t.String())
}

func (b *builder) define(t reflect.Type) {
	if b.defs[t.Name()] != nil {
		return
	}
	def := map[string]any{"type": "object", "additionalProperties": false}
	b.defs[t.Name()] = def // before its fields: types may hold themselves
	if def["description"] = b.meaning[t.Name()]; def["description"] == "" {
		b.missing = append(b.missing, t.Name())
	}
	b.used[t.Name()] = true
	props, required := map[string]any{}, []string{}
	for _, f := range jsonFields(t) {
		s := b.schemaOf(f.typ)
		s["description"] = b.say(f.owner, f.name)
		props[f.name] = s
		if !f.optional {
			required = append(required, f.name)
		}
	}
	def["properties"], def["required"] = props, required
}

// buildSchema gives the bytes of the schema file.
func buildSchema() ([]byte, *builder, error) {
	m, err := meanings()
	if err != nil {
		return nil, nil, err
	}
	b := &builder{meaning: m, used: map[string]bool{}, defs: map[string]any{}}
	b.define(typeOf[results.Results]())
	b.define(typeOf[results.CaseSheets]()) // of the case sheets' own file: "#/$defs/CaseSheets"
	top := map[string]any{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": schema.ID,
		"title": "Results of a clear-aligner audit, schema version " + results.SchemaVersion,
		"$ref":  "#/$defs/Results", "$defs": b.defs,
	}
	out, err := json.MarshalIndent(top, "", "  ")
	return append(out, '\n'), b, err
}
