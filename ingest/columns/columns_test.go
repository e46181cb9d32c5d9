package columns

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

func TestEveryColumnIsComplete(t *testing.T) {
	for _, k := range casebook.Kinds() {
		assert.NotEmpty(t, SheetName(k))
		seen := map[string]Field{}
		for _, d := range Of(k) {
			assert.NotEqual(t, NoField, d.Field, "%v", d)
			assert.NotZero(t, d.Type, d.Header)
			assert.NotEmpty(t, d.About, d.Header)
			if d.Type == Word || d.Type == YesNo {
				assert.NotEmpty(t, d.Words, d.Header)
			}
			for _, name := range append([]string{d.Header}, d.Synonyms...) {
				other, taken := seen[name]
				assert.False(t, taken, "%q names both %v and %v in %v", name, other, d.Field, k)
				seen[name] = d.Field
			}
			found, ok := Find(k, d.Field)
			assert.True(t, ok)
			assert.Equal(t, d.Header, found.Header)
		}
	}
}

func TestFieldNamesRoundTrip(t *testing.T) {
	for _, f := range Fields() {
		got, err := ParseField(f.String())
		assert.NoError(t, err)
		assert.Equal(t, f, got)
	}
	_, err := ParseField("toth")
	assert.Error(t, err)
}

func TestRequiredColumnsAreInTheTemplate(t *testing.T) {
	for _, k := range casebook.Kinds() {
		for _, d := range Of(k) {
			if d.Required {
				assert.True(t, d.Template, "%v %s", k, d.Header)
			}
		}
	}
}
