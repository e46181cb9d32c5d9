package report

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"maps"
	"slices"
)

// sortedZip writes the parts of a workbook by name, whatever order they are given in:
// the library hands sheets over in the order of a map, and the same results give the
// same bytes. By name the list of contents also comes first, as readers of a stream want it.
type sortedZip struct {
	to    *zip.Writer
	parts map[string]*bytes.Buffer
}

func newSortedZip(w io.Writer) *sortedZip {
	return &sortedZip{to: zip.NewWriter(w), parts: map[string]*bytes.Buffer{}}
}

// Create begins a part; it is kept until Close.
func (z *sortedZip) Create(name string) (io.Writer, error) {
	z.parts[name] = &bytes.Buffer{}
	return z.parts[name], nil
}

// AddFS is asked for nothing by a workbook that was begun empty.
func (z *sortedZip) AddFS(fsys fs.FS) error { return z.to.AddFS(fsys) }

// Close writes the parts.
func (z *sortedZip) Close() error {
	for _, name := range slices.Sorted(maps.Keys(z.parts)) {
		w, err := z.to.Create(name)
		if err != nil {
			return err
		}
		if _, err := z.parts[name].WriteTo(w); err != nil {
			return err
		}
	}
	return z.to.Close()
}
