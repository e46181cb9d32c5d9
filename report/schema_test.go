package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"maps"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/schema"
)

var update = flag.Bool("update", false, "rewrite the schema and the golden files")

func TestSchemaIsUpToDate(t *testing.T) {
	want, b, err := buildSchema()
	require.NoError(t, err)
	require.Empty(t, b.missing, "fields without a meaning: add a line to report/schema/fields.txt for each, then go test ./report -run Schema -update")
	for key := range b.meaning {
		assert.True(t, b.used[key], "report/schema/fields.txt explains %s, which no type has", key)
	}
	if *update {
		require.NoError(t, os.WriteFile("schema/"+schema.File, want, 0o644))
		return
	}
	require.Equal(t, string(want), string(Schema()), "the types changed: go test ./report -run Schema -update")
}

// compiled is the published schema, compiled by an independent validator.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource(schema.ID, doc))
	s, err := c.Compile(schema.ID)
	require.NoError(t, err)
	return s
}

func TestJSONFollowsItsSchema(t *testing.T) {
	s := compiled(t)
	for name, r := range fixtures() {
		if !differing(name) && name != "questions" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(fileOf(t, r)))
			require.NoError(t, err)
			require.NoError(t, s.Validate(v))
		})
	}
}

// The schema has teeth: each damage must be refused.
func TestSchemaRefuses(t *testing.T) {
	s, whole := compiled(t), asJSON(t, small())
	for name, damage := range map[string]func(map[string]any){
		"field missing":   func(m map[string]any) { delete(m, "flow") },
		"field unknown":   func(m map[string]any) { m["extra"] = 1.0 },
		"list null":       func(m map[string]any) { m["expression"] = nil },
		"verdict unknown": func(m map[string]any) { m["comparisons"].([]any)[0].(map[string]any)["verdict"] = "better" },
		"tooth impossible": func(m map[string]any) {
			m["expression"].([]any)[0].(map[string]any)["by"] = map[string]any{"tooth": 19.0}
		},
		"count negative":     func(m map[string]any) { m["expression"].([]any)[0].(map[string]any)["cases"] = -1.0 },
		"number as text":     func(m map[string]any) { m["expression"].([]any)[0].(map[string]any)["low"] = "0.4" },
		"month not a month":  func(m map[string]any) { m["scope"].(map[string]any)["first"] = "spring" },
		"warning incomplete": func(m map[string]any) { m["warnings"] = []any{map[string]any{"id": "x"}} },
	} {
		t.Run(name, func(t *testing.T) {
			var m map[string]any
			require.NoError(t, json.Unmarshal(whole, &m))
			damage(m)
			assert.Error(t, s.Validate(m))
		})
	}
}

// Every field of every struct is in the schema, and the schema has no other.
// The walk does not use the code that builds the schema.
func TestSchemaAndTypesAgree(t *testing.T) {
	var doc struct {
		Defs map[string]struct {
			Description string                    `json:"description"`
			Properties  map[string]map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(Schema(), &doc))
	seen := map[string]bool{}
	var walk func(reflect.Type)
	walk = func(typ reflect.Type) {
		for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice {
			typ = typ.Elem()
		}
		if typ.Kind() != reflect.Struct || seen[typ.Name()] {
			return
		}
		seen[typ.Name()] = true
		def, ok := doc.Defs[typ.Name()]
		require.True(t, ok, "schema lacks %s", typ.Name())
		assert.NotEmpty(t, def.Description)
		var want []string
		for _, f := range reflect.VisibleFields(typ) {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if f.Anonymous || name == "-" {
				continue
			}
			require.NotEmpty(t, name, "%s.%s has no JSON name", typ.Name(), f.Name)
			want = append(want, name)
			walk(f.Type)
			assert.NotEmpty(t, def.Properties[name]["description"], "%s.%s", typ.Name(), name)
		}
		assert.ElementsMatch(t, want, slices.Collect(maps.Keys(def.Properties)), typ.Name())
	}
	walk(reflect.TypeFor[results.Results]())
	walk(reflect.TypeFor[results.CaseSheets]())
	for name := range doc.Defs {
		assert.True(t, seen[name], "schema explains %s, which no type has", name)
	}
}
