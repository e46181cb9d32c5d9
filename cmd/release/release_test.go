package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"debug/buildinfo"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) {
	if err := os.Chdir("../.."); err != nil { // where .ci/release runs it
		panic(err)
	}
	os.Exit(m.Run())
}

var epoch = time.Unix(1_700_000_000, 0).UTC()

func TestNames(t *testing.T) {
	var names []string
	for _, target := range targets {
		b := build{version: "1.2.3"}
		b.system, b.arch, _ = strings.Cut(target, "/")
		names = append(names, b.name())
	}
	assert.Equal(t, []string{
		"shortfall-1.2.3-windows-x86-64", "shortfall-1.2.3-macos-intel", "shortfall-1.2.3-macos-apple", "shortfall-1.2.3-linux-x86-64", "shortfall-1.2.3-linux-arm64",
	}, names)
	_, err := versionOf("cmd/shortfall/version.go")
	assert.NoError(t, err)
}

// TestReadMe: half a page that says all that was promised.
func TestReadMe(t *testing.T) {
	for system, where := range map[string]string{"windows": `%LOCALAPPDATA%\shortfall`, "darwin": "Library/Application Support/shortfall", "linux": "~/.local/share/shortfall"} {
		b := build{version: "1.2.3", system: system}
		text, err := b.readme()
		require.NoError(t, err)
		for _, says := range []string{"1.2.3", "double", "not signed", where, "remove", "checksum", "licensed clinician", b.program()} {
			assert.Contains(t, strings.ToLower(string(text)), strings.ToLower(says), system)
		}
		lines := strings.Split(string(text), "\n")
		assert.LessOrEqual(t, len(lines), 35, "%s: half a page", system)
		for _, l := range lines {
			assert.LessOrEqual(t, len(l), 90, l)
		}
	}
}

func parts(t *testing.T, texts map[string]string) error {
	t.Helper()
	dir := t.TempDir()
	for name, text := range texts {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	}
	p := part{path: "example.org/x", version: "v1.0.0"}
	return p.read([]string{dir, filepath.Join(dir, "in")})
}

// A module whose terms are not there, or are not known, stops the release.
func TestLicenceIsNeeded(t *testing.T) {
	for name, texts := range map[string]map[string]string{
		"none":          {"in/code.go": "package in"},
		"only a source": {"in/licence.go": "// Permission is hereby granted, free of charge", "notice.txt": "thanks"},
		"unknown terms": {"in/LICENSE": "You may use this on Tuesdays."},
	} {
		err := parts(t, texts)
		assert.ErrorContains(t, err, "example.org/x v1.0.0", name)
	}
	p := part{path: "example.org/x"}
	assert.Error(t, p.read(nil))
}

func TestLicencesOfInnerFolders(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "in"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "LICENSE"), []byte("Permission is hereby\ngranted, free of\tcharge"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "COPYING.txt"), []byte("Apache License\n  Version 2.0"), 0o600))
	p := part{path: "example.org/x", version: "v1.0.0"}
	require.NoError(t, p.read([]string{dir, filepath.Join(dir, "in")}))
	assert.Equal(t, []string{"MIT", "Apache-2.0"}, p.ids())
	text := string(together([]part{p}))
	assert.Contains(t, text, "example.org/x v1.0.0 (MIT, Apache-2.0)")
	assert.Contains(t, text, "in/COPYING.txt")
}

// What the program is linked from has its licences in the module cache.
func TestLicencesOfWhatIsLinked(t *testing.T) {
	folders, err := linked(t.Context(), os.Environ())
	require.NoError(t, err)
	for _, path := range []string{std, "modernc.org/sqlite", "codeberg.org/go-fonts/dejavu", "golang.org/x/sys"} {
		p := part{path: path}
		require.NoError(t, p.read(folders[path]))
		assert.NotEmpty(t, p.ids(), path)
	}
}

// The fields that CycloneDX 1.6 requires, and those by which its readers find a part
// (https://cyclonedx.org/docs/1.6/json/; package-url specification, type golang).
func TestBillOfMaterials(t *testing.T) {
	b := build{version: "1.2.3", made: epoch}
	info := &buildinfo.BuildInfo{GoVersion: "go1.26.0", Settings: []debug.BuildSetting{{Key: "GOOS", Value: "linux"}}}
	list := []part{{path: std, version: "go1.26.0", texts: []licence{{kind: "BSD-3-Clause"}}}, {path: "github.com/BurntSushi/x", version: "v1.0.0", sum: "h1:abc", texts: []licence{{kind: "MIT"}, {}}}}
	text, err := bill(&b, info, list)
	require.NoError(t, err)
	again, err := bill(&b, info, list)
	require.NoError(t, err)
	assert.Equal(t, text, again)
	require.NoError(t, validBill(t, text))
	require.Error(t, validBill(t, bytes.ReplaceAll(text, []byte(`"MIT"`), []byte(`"Mine"`))), "the schema looks at the licences")
	var got struct {
		BomFormat, SpecVersion string
		Version                int
		Metadata               struct {
			Timestamp string
			Component map[string]any
		}
		Components []struct {
			Type, Name, Version, Purl string
			Ref                       string `json:"bom-ref"`
			Licenses                  []struct{ License struct{ ID string } }
			ExternalReferences        []struct{ URL string }
		}
		Dependencies []struct {
			Ref       string
			DependsOn []string
		}
	}
	require.NoError(t, json.Unmarshal(text, &got))
	assert.Equal(t, "CycloneDX 1.6 1", strings.Join([]string{got.BomFormat, got.SpecVersion, string(rune('0' + got.Version))}, " "))
	assert.Equal(t, "2023-11-14T22:13:20Z", got.Metadata.Timestamp)
	require.Len(t, got.Components, 2)
	x := got.Components[1]
	assert.Equal(t, "pkg:golang/github.com/BurntSushi/x@v1.0.0", x.Purl)
	assert.Equal(t, "MIT", x.Licenses[0].License.ID)
	assert.Len(t, x.Licenses, 1)
	assert.Equal(t, "https://proxy.golang.org/github.com/!burnt!sushi/x/@v/v1.0.0.zip", x.ExternalReferences[0].URL)
	assert.Equal(t, []string{got.Components[0].Ref, x.Ref}, got.Dependencies[0].DependsOn)
}

// validBill holds a bill of materials to the published schema; see testdata/README.md.
func validBill(t *testing.T, text []byte) error {
	t.Helper()
	c := jsonschema.NewCompiler()
	for _, name := range []string{"bom-1.6.schema.json", "spdx.schema.json", "jsf-0.82.schema.json"} {
		f, err := os.Open("cmd/release/testdata/" + name + ".gz")
		require.NoError(t, err)
		defer f.Close()
		z, err := gzip.NewReader(f)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(z)
		require.NoError(t, err)
		require.NoError(t, c.AddResource("http://cyclonedx.org/schema/"+name, doc))
	}
	schema, err := c.Compile("http://cyclonedx.org/schema/bom-1.6.schema.json")
	require.NoError(t, err)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	return schema.Validate(v)
}

// The same files give the same archive, which holds them with the time of the commit.
func TestArchivesAreReproducible(t *testing.T) {
	files := []file{{"shortfall", []byte("program"), 0o755}, {"READ-ME.txt", []byte("a\nb\n"), 0o644}}
	for _, system := range []string{"linux", "windows"} {
		b := build{version: "1.2.3", system: system, arch: "amd64", made: epoch}
		one, err := b.pack(t.TempDir(), files)
		require.NoError(t, err)
		time.Sleep(10 * time.Millisecond)
		other, err := b.pack(t.TempDir(), files)
		require.NoError(t, err)
		first, err := os.ReadFile(one)
		require.NoError(t, err)
		second, err := os.ReadFile(other)
		require.NoError(t, err)
		assert.Equal(t, first, second)
		_, err = b.pack(filepath.Dir(one), files)
		assert.ErrorIs(t, err, os.ErrExist)
		if system == "windows" {
			z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
			require.NoError(t, err)
			assert.Equal(t, "shortfall-1.2.3-windows-x86-64/shortfall", z.File[0].Name)
			assert.True(t, z.File[0].Modified.Equal(epoch))
			assert.Equal(t, os.FileMode(0o755), z.File[0].Mode())
			continue
		}
		z, err := gzip.NewReader(bytes.NewReader(first))
		require.NoError(t, err)
		r := tar.NewReader(z)
		head, err := r.Next()
		require.NoError(t, err)
		assert.Equal(t, "shortfall-1.2.3-linux-x86-64/shortfall", head.Name)
		assert.True(t, head.ModTime.Equal(epoch))
		assert.Equal(t, int64(0o755), head.Mode)
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.Equal(t, "program", string(content))
	}
	w := build{system: "windows"}
	assert.Equal(t, "a\r\nb\r\n", string(w.lines([]byte("a\nb\r\n"))))
}

// A program that was built in another way is no release: this very one was not.
func TestOtherProgramsAreRefused(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	info, err := buildinfo.ReadFile(self)
	require.NoError(t, err)
	assert.Error(t, checked(self, "linux", info))
	good := func(change ...debug.BuildSetting) *buildinfo.BuildInfo {
		return &buildinfo.BuildInfo{Settings: append([]debug.BuildSetting{{Key: "CGO_ENABLED", Value: "0"}, {Key: "-trimpath", Value: "true"}, {Key: "vcs.revision", Value: "1"}, {Key: "vcs.modified", Value: "false"}}, change...)}
	}
	assert.NoError(t, checked(self, "windows", good()))
	assert.ErrorContains(t, checked(self, "windows", good(debug.BuildSetting{Key: "vcs.modified", Value: "true"})), "not committed")
	assert.ErrorContains(t, checked(self, "windows", good(debug.BuildSetting{Key: "vcs.revision"})), "commit")
	assert.Error(t, checked(self, "windows", good(debug.BuildSetting{Key: "CGO_ENABLED", Value: "1"})))
	assert.ErrorContains(t, release(t.Context(), t.TempDir(), []string{"plan9/mips"}), "none of the systems")
}
