package layout_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

func TestEveryColumnIsComplete(t *testing.T) {
	for _, k := range casebook.Kinds() {
		assert.NotEmpty(t, columns.SheetName(k))
		seen := map[string]columns.Field{}
		for _, d := range columns.Of(k) {
			assert.NotEqual(t, columns.NoField, d.Field, "%v", d)
			assert.NotZero(t, d.Type, d.Header)
			assert.NotEmpty(t, d.About, d.Header)
			if d.Type == columns.Word || d.Type == columns.YesNo {
				assert.NotEmpty(t, d.Words, d.Header)
			}
			for _, name := range append([]string{d.Header}, d.Synonyms...) {
				other, taken := seen[name]
				assert.False(t, taken, "%q names both %v and %v in %v", name, other, d.Field, k)
				seen[name] = d.Field
			}
			found, ok := columns.Find(k, d.Field)
			assert.True(t, ok)
			assert.Equal(t, d.Header, found.Header)
		}
	}
}

func TestFieldNamesRoundTrip(t *testing.T) {
	for _, f := range columns.Fields() {
		got, err := columns.ParseField(f.String())
		assert.NoError(t, err)
		assert.Equal(t, f, got)
	}
	_, err := columns.ParseField("toth")
	assert.Error(t, err)
}

func TestRequiredColumnsAreInTheTemplate(t *testing.T) {
	for _, k := range casebook.Kinds() {
		for _, d := range columns.Of(k) {
			if d.Required {
				assert.True(t, d.Template, "%v %s", k, d.Header)
			}
		}
	}
}
