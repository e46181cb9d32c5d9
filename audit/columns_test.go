package audit_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
)

// estimateFields lists the path of every number that is estimated, as JSON names it.
func estimateFields(t reflect.Type, path string) (out []string) {
	switch t {
	case reflect.TypeFor[results.Number](), reflect.TypeFor[results.Share](), reflect.TypeFor[results.Spread](), reflect.TypeFor[results.Difference]():
		return []string{path}
	}
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		return estimateFields(t.Elem(), path)
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "-" {
				continue
			}
			out = append(out, estimateFields(f.Type, strings.Trim(path+"."+name, "."))...)
		}
	}
	return out
}

// TestEveryNumberHasItsDefinitionAndMethod: by way of results.columns, in which no
// entry is idle, and both ids lead somewhere.
func TestEveryNumberHasItsDefinitionAndMethod(t *testing.T) {
	r := mustRun(t, invented(3, 30), nil)
	definitions, methods := map[string]bool{}, map[string]bool{}
	for _, d := range r.Definitions {
		definitions[d.ID] = true
	}
	for _, m := range r.Methods {
		assert.False(t, methods[m.ID], "method %s twice", m.ID)
		methods[m.ID] = true
	}
	used := map[string]bool{}
	fields := estimateFields(reflect.TypeFor[results.Results](), "")
	require.Greater(t, len(fields), 100)
	for _, f := range fields {
		c := r.ColumnOf(f)
		assert.NotEmpty(t, c.Field, "%s has no definition and no method: add it to audit/columns.go", f)
		used[c.Field] = true
	}
	for _, c := range r.Columns {
		assert.True(t, used[c.Field], "no number at %s", c.Field)
		assert.True(t, definitions[c.Definition], "%s: no definition %q", c.Field, c.Definition)
		assert.True(t, methods[c.Method], "%s: no method %q", c.Field, c.Method)
	}
}
