package page

import (
	"archive/zip"
	"bytes"
	"mime/multipart"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/keep"
)

// A copy that was saved from one practice is added in another place and put back there:
// records, targets and all.
func TestACopyGoesElsewhere(t *testing.T) {
	t.Parallel()
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", openSheet})
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at+"/keep", "code", "EAST")
	w.until(at, "The records are kept")
	w.post(p+"/cycle", "criterion 0 name", "Extrusion", "criterion 0 measure", "outside tolerance", "criterion 0 direction", "extrusion", "criterion 0 value", "0.3", "criterion 0 side", "at_most")
	w.post(p + "/backup")
	saved := regexp.MustCompile(`href="(/p/[^"]*/copies/[^"]*)"`).FindStringSubmatch(w.until(p+"/records", "records, targets and changes"))
	require.NotNil(t, saved)
	packed := w.see(saved[1])
	z, err := zip.NewReader(strings.NewReader(packed), int64(len(packed)))
	require.NoError(t, err)
	assert.Equal(t, "east.db", z.File[0].Name)

	q := w.begin("west")
	add := func(name, content string) (string, int) {
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		part, err := m.CreateFormFile("copy", name)
		require.NoError(t, err)
		_, err = part.Write([]byte(content))
		require.NoError(t, err)
		require.NoError(t, m.Close())
		page, status, _ := w.send(http.MethodPost, q+"/copy/files", m.FormDataContentType(), &b)
		return page, status
	}
	page, status := add("letter.zip", "nothing of the kind, and long enough")
	assert.Equal(t, http.StatusBadRequest, status)
	assert.Contains(t, page, "no copy of records")
	page, status = add("east.zip", packed)
	require.Equal(t, 200, status, page)
	copied := regexp.MustCompile(`name="copy" value="([^"]+)"`).FindStringSubmatch(w.until(q+"/records", "records, targets and changes"))
	require.NotNil(t, copied)
	assert.NotContains(t, w.see(q+"/records"), "own.csv", "the records stay as they are")
	w.post(q+"/putback", "copy", copied[1])
	w.until(q+"/records", "own.csv")
	assert.Contains(t, w.see(q+"/records"), "EAST")
	assert.Contains(t, w.see(q+"/cycle"), `value="Extrusion"`)
	entries, err := os.ReadDir(w.home.Folder())
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), ".key")
	}
	assert.FileExists(t, keep.Beside(w.home.Folder()+"/west.db", keep.Criteria))
}

// TestColumnsThatAreNotReadAreThoseOfTheTerminal: a column whose header no field has, and
// one with cells and no header, both as columns of which nothing is kept.
func TestColumnsThatAreNotReadAreThoseOfTheTerminal(t *testing.T) {
	w := open(t)
	lines := strings.Split(strings.TrimRight(numbered(""), "\n"), "\n")
	for i := range lines {
		if i == 0 {
			lines[i] += ",Colour,"
		} else {
			lines[i] += ",blue,7"
		}
	}
	_, at := w.give(w.begin("east"), file{"own.csv", strings.Join(lines, "\n") + "\n"})
	if page := w.until(at, `<section`); strings.Contains(page, "What the file leaves open") {
		w.post(at+"/answers", "answer positive", "usual")
	}
	page := w.until(at, "How it was understood")
	said := regexp.MustCompile(`<strong>not read</strong>[^<]*`).FindString(page)
	assert.Equal(t, "<strong>not read</strong>, so nothing of it is kept: I “Colour”, J", said)
}
