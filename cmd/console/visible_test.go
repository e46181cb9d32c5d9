package console

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHiddenCharactersAreShown(t *testing.T) {
	for text, want := range map[string]string{
		"plain\ttext\n":                   "plain\ttext\n",
		"\x1b[2J":                         `\u001b[2J`,
		"a\rb":                            `a\u000db`,
		"C1 \u009b31m":                    `C1 \u009b31m`,
		"\x7f":                            `\u007f`,
		"evil\u202exslx.txt":              `evil\u202exslx.txt`,
		"\u2066a\u2069\u200b\ufeff\u061c": `\u2066a\u2069\u200b\ufeff\u061c`,
		"a\u2028b":                        `a\u2028b`,
		"bad \xff\xfe":                    `bad \xff\xfe`,
		"Müller 山田 °":                     "Müller 山田 °",
		"tag \U000e0041":                  `tag \U000e0041`,
	} {
		var b bytes.Buffer
		v := NewVisible(&b, "")
		for _, c := range []byte(text) { // however the bytes come
			_, err := v.Write([]byte{c})
			require.NoError(t, err)
		}
		assert.Equal(t, want, b.String())
	}
	var b bytes.Buffer
	line := []byte(`{"a":"` + "x\u202ey" + `"}`)
	_, err := NewVisible(&b, "").Write(line)
	require.NoError(t, err)
	var got map[string]string
	require.NoError(t, json.Unmarshal(b.Bytes(), &got), "JSON stays valid")
	assert.Equal(t, "x\u202ey", got["a"])
}
