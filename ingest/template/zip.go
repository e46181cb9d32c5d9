package template

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"slices"

	"github.com/xuri/excelize/v2"
)

// FixOrder makes a workbook that was filled by several stream writers come out
// the same each time: excelize ranges over a map of them when it saves. Call it
// before Write.
func FixOrder(f *excelize.File) {
	f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return &orderedZip{to: w, parts: map[string]*bytes.Buffer{}} })
}

// orderedZip holds the parts back and writes them in the order of their names,
// with no time of day.
type orderedZip struct {
	to    io.Writer
	parts map[string]*bytes.Buffer
}

func (z *orderedZip) Create(name string) (io.Writer, error) {
	z.parts[name] = &bytes.Buffer{}
	return z.parts[name], nil
}

// AddFS is part of excelize.ZipWriter; excelize does not call it on saving.
func (z *orderedZip) AddFS(fsys fs.FS) error {
	return fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(fsys, name)
		z.parts[name] = bytes.NewBuffer(content)
		return err
	})
}

func (z *orderedZip) Close() error {
	names := make([]string, 0, len(z.parts))
	for name := range z.parts {
		names = append(names, name)
	}
	slices.SortFunc(names, byPart)
	out := zip.NewWriter(z.to)
	for _, name := range names {
		w, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if _, err := z.parts[name].WriteTo(w); err != nil {
			return err
		}
	}
	return out.Close()
}

// contentTypes comes first in a package: some readers sniff for it (ECMA-376
// part 2 asks for no order).
const contentTypes = "[Content_Types].xml"

func byPart(a, b string) int {
	switch {
	case a == b:
		return 0
	case a == contentTypes:
		return -1
	case b == contentTypes:
		return 1
	case a < b:
		return -1
	}
	return 1
}
