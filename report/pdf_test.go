package report

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/paper"
)

func asPDF(t testing.TB, r *results.Results, size paper.Size) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, PDF(&b, r, Options{Paper: size}))
	return b.Bytes()
}

// practicePDF is the PDF of the practice that several tests read.
func practicePDF(t *testing.T) []byte {
	t.Helper()
	once.pdf.Do(func() { once.practice = asPDF(t, practice(), paper.A4) })
	require.NotEmpty(t, once.practice)
	return once.practice
}

// Everyday of all that a page can hold, in the long form of a real audit too.
func TestSameResultsSameBytes(t *testing.T) {
	of := map[string]*results.Results{"practice": practice()}
	if long {
		of["sample data"] = sample()
	}
	for name, r := range of {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			first := asPDF(t, r, paper.A4)
			var book bytes.Buffer
			require.NoError(t, Workbook(&book, r))
			again := 1
			if long {
				again = 5
			}
			for range again {
				require.True(t, bytes.Equal(first, asPDF(t, r, paper.A4)), "the PDF differs from run to run")
				var again bytes.Buffer
				require.NoError(t, Workbook(&again, r))
				require.True(t, bytes.Equal(book.Bytes(), again.Bytes()), "the workbook differs from run to run")
			}
		})
	}
}

func TestRenderingLeavesTheResultsAlone(t *testing.T) {
	r := practice()
	before := asJSON(t, r)
	asPDF(t, r, paper.A4)
	var b bytes.Buffer
	require.NoError(t, Workbook(&b, r))
	assert.Equal(t, string(before), string(asJSON(t, r)))
}

func TestDateComesFromTheResults(t *testing.T) {
	r := practice()
	pdf := asPDF(t, r, paper.A4)
	assert.Contains(t, string(pdf), "/CreationDate (D:20260630000000)")
	assert.Contains(t, string(pdf), "/ModDate (D:20260630000000)")
	r.Provenance.Date = "2026-06"
	assert.Contains(t, string(asPDF(t, r, paper.A4)), "/CreationDate (D:20260601000000)")
	r.Provenance.Date = "30.6.2026"
	require.ErrorContains(t, PDF(&bytes.Buffer{}, r, Options{}), "expected YYYY-MM-DD")
}

func TestNothingActiveInThePDF(t *testing.T) {
	r := practice()
	r.Provenance.Settings.Title = "/JavaScript (app.alert(1)) ) >> endobj"
	pdf := string(asPDF(t, r, paper.A4))
	packet := regexp.MustCompile(`(?s)<\?xpacket begin.*<\?xpacket end`)
	require.Regexp(t, packet, pdf)
	pdf = packet.ReplaceAllString(pdf, "") // text about the document, which nothing runs
	for _, s := range []string{"/JavaScript", "/JS", "/Launch", "/OpenAction", "/EmbeddedFile", "/URI"} {
		assert.NotRegexp(t, regexp.MustCompile(regexp.QuoteMeta(s)+`\b`), pdf)
	}
}

func TestSheetSizes(t *testing.T) {
	// ISO 216 A4 is 210 x 297 mm, ANSI A (Letter) 8.5 x 11 in = 612 x 792 pt.
	assert.Contains(t, string(asPDF(t, emptyQuarter(), paper.A4)), "/MediaBox [0 0 595.28 841.89]")
	assert.Contains(t, string(asPDF(t, emptyQuarter(), paper.Letter)), "/MediaBox [0 0 612.00 792.00]")
}

// tool runs a program of the PDF trade over a file, or skips where it is missing.
func tool(t *testing.T, pdf []byte, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed", name)
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	for i, a := range args {
		args[i] = strings.ReplaceAll(a, "FILE", file)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	require.NoError(t, err, string(out))
	return string(out)
}

// Everyday two of the fixtures, in the long form all.
func TestQPDFFindsNoFault(t *testing.T) {
	for name, r := range fixtures() {
		if !long && name != "sample data" && name != "empty quarter" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out := tool(t, asPDF(t, r, paper.A4), "qpdf", "--check", "FILE")
			assert.Contains(t, out, "No syntax or stream encoding errors found")
		})
	}
}

func TestFontsAreEmbedded(t *testing.T) {
	out := tool(t, practicePDF(t), "pdffonts", "FILE")
	lines := strings.Split(strings.TrimSpace(out), "\n")[2:]
	require.Len(t, lines, 2, out)
	// Only what is used is embedded: the whole faces are 680 kB and more each.
	assert.Less(t, len(practicePDF(t)), 600_000)
	for _, l := range lines {
		f := strings.Fields(l)
		// name, type (3 words: "CID TrueType"), encoding, emb, sub, uni
		assert.Contains(t, l, "TrueType")
		emb, uni := f[len(f)-5], f[len(f)-3]
		assert.Equal(t, "yes", emb, "embedded: %s", l)
		assert.Equal(t, "yes", uni, "with a Unicode map: %s", l)
	}
}

// What a reader can search for and a screen reader can read is the same text.
func TestTextCanBeReadBack(t *testing.T) {
	out := tool(t, practicePDF(t), "pdftotext", "-layout", "FILE", "-")
	for _, s := range []string{"Ορθοδοντικό Ιατρείο Άγιος Νικόλαος", "Cabinet Élodie Çelik & Søn", "page 1 of", "Did the choice of attachment matter?", "To decide"} {
		assert.Contains(t, strings.ReplaceAll(out, "\u00a0", " "), s)
	}
}

func TestBookmarksFollowTheSections(t *testing.T) {
	pdf := practicePDF(t)
	assert.Contains(t, string(pdf), "/Outlines")
	assert.Contains(t, string(pdf), "/Lang (en-GB)")
	out := tool(t, pdf, "qpdf", "--json", "--json-key=outlines", "FILE")
	for _, s := range []string{"Where plans fell short", "Did the choice of attachment matter?", "What it cost, and what changed"} {
		assert.Contains(t, out, s)
	}
}

func BenchmarkPDF(b *testing.B) {
	r := sample()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, PDF(&bytes.Buffer{}, r, Options{}))
	}
}

func BenchmarkJSON(b *testing.B) {
	r := sample()
	for b.Loop() {
		require.NoError(b, JSON(&bytes.Buffer{}, r))
	}
}

func BenchmarkWorkbook(b *testing.B) {
	r := sample()
	for b.Loop() {
		require.NoError(b, Workbook(&bytes.Buffer{}, r))
	}
}
