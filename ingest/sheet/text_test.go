package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Bytes of Windows-1250 (Python 3.11, str.encode("cp1250")) are told from those of Windows-1252
// by Polish letters within words.
func TestCodePages(t *testing.T) {
	for name, c := range map[string]struct{ data, text, page string }{
		"Polish":            {"Z\xb9b;w\xb3asny;pocz\xb9tkowy", "Ząb;własny;początkowy", "Windows-1250"},
		"French":            {"pr\xe9vu;r\xe9alis\xe9;3 mm\xb3", "prévu;réalisé;3 mm³", "Windows-1252"},
		"Spanish":           {"\xbfqu\xe9 diente?;n\xb3", "¿qué diente?;n³", "Windows-1252"},
		"German":            {"Z\xe4hne;gr\xf6\xdfer", "Zähne;größer", "Windows-1252"},
		"UTF-8 needs none":  {"Ząb", "Ząb", ""},
		"ASCII needs none ": {"tooth", "tooth", ""},
	} {
		out, page, err := decodeText([]byte(c.data))
		require.NoError(t, err, name)
		assert.Equal(t, c.text, string(out), name)
		assert.Equal(t, c.page, page, name)
	}
}
